/* Keeps the courtroom screen and the witness's window at the same exhibit.
 *
 * Messages go between windows of this browser alone, and name exhibits by their keys:
 *   where    a window that was opened or reloaded asks
 *   here     the courtroom screen says which exhibit it is at, and whether that is covered
 *   there    the witness's window says where it is, to a screen that was reloaded
 *   go       the witness's window goes on; act: it shows or covers; gone: the screen was left
 */
export class InStep {
  constructor(room, heard) {
    this.channel = new BroadcastChannel(`exhibits|${document.body.dataset.person}|${room.dataset.set}`);
    this.channel.addEventListener("message", (event) => heard(event.data));
  }

  tell(kind, more = {}) {
    this.channel.postMessage({ kind, ...more });
  }
}
