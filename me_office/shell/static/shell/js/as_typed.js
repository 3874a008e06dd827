/* Days and times of day as people type them: each is read one way, or refused in words. Pure.
 *
 * `me_office/as_typed.py` is the judge and says the same; `tests/shell/as_typed.json` holds both.
 * What is read comes as { year, month, day } or { hour, minute, second }, what is refused as
 * { words, part }.
 */
const MONTHS = [
  "January", "February", "March", "April", "May", "June", "July", "August", "September",
  "October", "November", "December",
];
const WEEKDAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const MONTH_NUMBERS = new Map([["sept", 9]]);
MONTHS.forEach((month, index) => {
  for (const name of [month, month.slice(0, 3)]) MONTH_NUMBERS.set(name.toLowerCase(), index + 1);
});
const FIRST_YEAR = 1000;
const LAST_YEAR = 2999;

const NO_DAY = "Add the date.";
const NO_CLOCK = "Add the time.";
const WRITE_DAY = "Write the date as 11/29/2026.";
const WRITE_CLOCK = "Write the time as 14:05 or 2:05 PM.";
const FOUR_DIGITS = "Write all four digits of the year.";

const NUMBERS = /^([0-9]{1,2})([/-])([0-9]{1,2})\2([0-9]+)$/;
const YEAR_FIRST = /^([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})$/;
const MONTH_FIRST = /^([a-z]{3,9})\.? ?([0-9]{1,2})(?:, ?| )([0-9]+)$/;
const DAY_FIRST = /^([0-9]{1,2})[ -]?([a-z]{3,9})\.?,?[ -]?([0-9]+)$/;
const CLOCK = /^([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?(?: ?([ap])\.?m\.?)?$/;
const FOUR_FIGURES = /^([0-9]{2})([0-9]{2})$/;
const HOUR = /^([0-9]{1,2}) ?([ap])\.?m\.?$/;
const WHOLE = /^([0-9]{4}-[0-9]{2}-[0-9]{2})[Tt ]([0-9]{2}:[0-9]{2}(?::[0-9]{2})?)$/;

const two = (number) => String(number).padStart(2, "0");
const wrongDay = (words) => ({ words, part: "day" });
const wrongClock = (words) => ({ words, part: "time" });
const plain = (text) => text.replace(/[ \t\u00a0\u202f]+/g, " ").replace(/^ | $/g, "").toLowerCase();

export function daysIn(year, month) {
  return new Date(Date.UTC(year, month, 0)).getUTCDate();
}

function isDay(year, month, day) {
  return month >= 1 && month <= 12 && day >= 1 && day <= daysIn(year, month);
}

function checkedDay(yearText, month, day) {
  if (yearText.length === 2) return wrongDay(FOUR_DIGITS);
  const year = yearText.length === 4 ? Number(yearText) : 0;
  if (year < FIRST_YEAR || year > LAST_YEAR) return wrongDay("Check the year.");
  if (month > 12 && isDay(year, day, month)) {
    return wrongDay(`Month first: ${two(day)}/${two(month)}/${year}.`);
  }
  if (month < 1 || month > 12) return wrongDay(`There is no month ${month}.`);
  if (!isDay(year, month, day)) {
    return wrongDay(`${MONTHS[month - 1]} ${year} has ${daysIn(year, month)} days.`);
  }
  return { year, month, day };
}

function namedDay(yearText, name, day) {
  const month = MONTH_NUMBERS.get(name);
  return month ? checkedDay(yearText, month, day) : wrongDay(WRITE_DAY);
}

export function readDay(text) {
  const said = plain(text);
  let found = said.match(NUMBERS);
  if (found) return checkedDay(found[4], Number(found[1]), Number(found[3]));
  found = said.match(YEAR_FIRST);
  if (found) return checkedDay(found[1], Number(found[2]), Number(found[3]));
  found = said.match(MONTH_FIRST);
  if (found) return namedDay(found[3], found[1], Number(found[2]));
  found = said.match(DAY_FIRST);
  if (found) return namedDay(found[3], found[2], Number(found[1]));
  return wrongDay(WRITE_DAY);
}

function checkedClock(hour, minute, second) {
  if (hour === 24) return wrongClock("Midnight is 00:00.");
  if (hour > 24) return wrongClock(`There is no hour ${hour}.`);
  if (minute > 59) return wrongClock("Minutes go from 00 to 59.");
  if (second > 59) return wrongClock("Seconds go from 00 to 59.");
  return { hour, minute, second };
}

function ofHalf(clock, half) {
  if (clock.words) return clock;
  const { hour, minute, second } = clock;
  if (hour < 1 || hour > 12) return wrongClock(`${clockFace(clock)} needs no AM or PM.`);
  // Noon to some and midnight to others.
  if (hour === 12 && minute === 0) return wrongClock("Write 12:00 for noon, 00:00 for midnight.");
  return { hour: (hour % 12) + (half === "p" ? 12 : 0), minute, second };
}

function whichHalf(clock) {
  if (clock.hour === 0) return wrongClock(`Write ${clockFace(clock)}.`);
  const later = { ...clock, hour: clock.hour + 12 };
  return wrongClock(`Write ${clockFace(clock)} or ${clockFace(later)}, or add AM or PM.`);
}

export function readClock(text) {
  const said = plain(text);
  let found = said.match(CLOCK);
  if (found) {
    const second = found[3] === undefined ? null : Number(found[3]);
    const made = checkedClock(Number(found[1]), Number(found[2]), second);
    if (found[4]) return ofHalf(made, found[4]);
    return made.words || found[1].length === 2 ? made : whichHalf(made);
  }
  found = said.match(FOUR_FIGURES);
  if (found) return checkedClock(Number(found[1]), Number(found[2]), null);
  found = said.match(HOUR);
  if (found) return ofHalf(checkedClock(Number(found[1]), 0, null), found[2]);
  return wrongClock(WRITE_CLOCK);
}

/* A day and time written as one (ISO 8601) as two texts; any other text is the day's. */
export function split(text) {
  const found = plain(text).match(WHOLE);
  return found ? [found[1], found[2]] : [text, ""];
}

/* { day, clock } of two fields, or of the first alone; `isMissing` where one of them is empty. */
export function readMoment(dayText, clockText) {
  const [day, clock] = plain(clockText) ? [dayText, clockText] : split(dayText);
  if (!plain(day)) return { ...wrongDay(NO_DAY), isMissing: true };
  const read = readDay(day);
  if (read.words) return read;
  if (!plain(clock)) return { ...wrongClock(NO_CLOCK), isMissing: true };
  const at = readClock(clock);
  return at.words ? at : { day: read, clock: at };
}

export const isEmpty = (text) => !plain(text);
export const isoDay = ({ year, month, day }) => `${year}-${two(month)}-${two(day)}`;
export const dayFace = ({ year, month, day }) => `${two(month)}/${two(day)}/${year}`;
export const monthName = (month) => MONTHS[month - 1];

/* 0 for a Sunday. */
export function weekdayOf({ year, month, day }) {
  return new Date(Date.UTC(year, month - 1, day)).getUTCDay();
}

export function clockFace({ hour, minute, second }) {
  return `${two(hour)}:${two(minute)}${second === null ? "" : `:${two(second)}`}`;
}

export function dayWords(day) {
  return `${WEEKDAYS[weekdayOf(day)]}, ${MONTHS[day.month - 1]} ${day.day}, ${day.year}`;
}

/* The day some days away, or in another month, there at most its last. */
export function dayAway({ year, month, day }, days) {
  const at = new Date(Date.UTC(year, month - 1, day + days));
  return { year: at.getUTCFullYear(), month: at.getUTCMonth() + 1, day: at.getUTCDate() };
}

export function monthsAway({ year, month, day }, months) {
  const at = new Date(Date.UTC(year, month - 1 + months, 1));
  const there = { year: at.getUTCFullYear(), month: at.getUTCMonth() + 1 };
  return { ...there, day: Math.min(day, daysIn(there.year, there.month)) };
}
