/* Which files were meant: chosen, dropped, or found in a dropped folder. */

/* Names in the order in which a camera counts: DSC_9 before DSC_10. */
const counting = new Intl.Collator("en", { numeric: true });

export function inOrder(files) {
  const path = (file) => file.webkitRelativePath || file.name;
  return [...files].sort((one, other) => counting.compare(path(one), path(other)));
}

/* A card also holds what is no photograph: films, indexes, settings. */
export function photographsAmong(files, endings) {
  const meant = files.filter((file) => endings.some((end) => file.name.toLowerCase().endsWith(end)));
  return { meant, leftOut: files.length - meant.length };
}

export async function droppedFiles(transfer) {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  if (!entries.some((entry) => entry.isDirectory)) return { files: [...transfer.files], whole: false };
  const files = [];
  for (const entry of entries) await walk(entry, files);
  return { files, whole: true };
}

async function walk(entry, files) {
  if (entry.isFile) {
    files.push(await new Promise((resolve, reject) => entry.file(resolve, reject)));
    return;
  }
  const reader = entry.createReader();
  // A folder is read in parts of a hundred; an empty part is the end.
  for (;;) {
    const part = await new Promise((resolve, reject) => reader.readEntries(resolve, reject));
    if (!part.length) return;
    for (const inside of part) await walk(inside, files);
  }
}
