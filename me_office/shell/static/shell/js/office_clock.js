/* The office's clock on any device: which moments a typed face may be. Pure. */
const MINUTE = 60000;
const DAY = 24 * 60 * MINUTE;
const formats = new Map();

function formatOf(zone) {
  if (!formats.has(zone)) {
    formats.set(
      zone,
      new Intl.DateTimeFormat("en-US", {
        timeZone: zone,
        hourCycle: "h23",
        year: "numeric",
        month: "numeric",
        day: "numeric",
        hour: "numeric",
        minute: "numeric",
      }),
    );
  }
  return formats.get(zone);
}

/* Minutes that the zone's clock is ahead of UTC at a moment (ms). */
export function offsetAt(moment, zone) {
  const part = {};
  for (const { type, value } of formatOf(zone).formatToParts(moment)) part[type] = Number(value);
  const face = Date.UTC(part.year, part.month - 1, part.day, part.hour, part.minute);
  return Math.round((face - Math.floor(moment / MINUTE) * MINUTE) / MINUTE);
}

/* The offsets (minutes) at which the clock shows this face, the first pass first. */
export function readingsOf(face, zone) {
  const typed = Date.parse(`${face}Z`);
  if (!face || Number.isNaN(typed)) return [];
  const near = new Set([offsetAt(typed - DAY, zone), offsetAt(typed + DAY, zone)]);
  return [...near]
    .filter((offset) => offsetAt(typed - offset * MINUTE, zone) === offset)
    .sort((one, other) => other - one);
}

/* An offset as the form sends it, and as people read it. */
export function offsetWords(minutes) {
  const two = (number) => String(number).padStart(2, "0");
  const size = Math.abs(minutes);
  const clock = `${two(Math.floor(size / 60))}:${two(size % 60)}`;
  return { iso: `${minutes < 0 ? "-" : "+"}${clock}`, words: `UTC${minutes < 0 ? "−" : "+"}${clock}` };
}

/* The zone beside a time as the office prints it: EST, or UTC+10:30 where there are no letters. */
export function zoneWord(face, offset, zone) {
  const moment = Date.parse(`${face}Z`) - offset * MINUTE;
  const named = new Intl.DateTimeFormat("en-US", { timeZone: zone, timeZoneName: "short" });
  const word = named.formatToParts(moment).find(({ type }) => type === "timeZoneName")?.value ?? "";
  return /^[A-Z]+$/.test(word) ? word : offsetWords(offset).words;
}

/* The day that the office's calendar shows now. */
export function todayIn(zone) {
  const now = Date.now();
  const shown = new Date(now + offsetAt(now, zone) * MINUTE);
  return { year: shown.getUTCFullYear(), month: shown.getUTCMonth() + 1, day: shown.getUTCDate() };
}
