/** What outlives the swaps of the page's parts: what is drawn and not saved, the tool in hand, and
 * where the focus goes after the swap that comes ("chart", "term", "row", "heading", "saved", "form"). */
import { Steps } from "../../shell/js/steps.js";

export const hand = { tool: "", marks: [], draft: null, steps: new Steps(), then: "", chart: null, present: "" };

/** Forget what was drawn. */
export function emptyHand() {
  Object.assign(hand, { marks: [], draft: null });
  hand.steps.clear();
}
