/* Keys that the browser makes: a record has its own before the office knows of it. */

/* UUIDv7 (RFC 9562, section 5.7): 48 bits of milliseconds, then version, variant and chance. */
export function uuid7(now = Date.now(), chance = crypto.getRandomValues(new Uint8Array(16))) {
  const bytes = new Uint8Array(chance);
  for (let place = 5, rest = now; place >= 0; place -= 1) {
    bytes[place] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
