// Files out of a drop or a picker, each with its path inside the set.

export interface Picked {
  path: string;
  file: File;
}

const MOST_FILES = 5000;

/** Files of a picker; a folder picker says where each stood. */
export function fromInput(list: FileList | null): Picked[] {
  return [...(list ?? [])].map((file) => ({ path: file.webkitRelativePath || file.name, file }));
}

/** Files of a drop, walking into folders. */
export async function fromDrop(transfer: DataTransfer): Promise<Picked[]> {
  // The entries must be taken before anything is awaited: the list is emptied afterwards.
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.() ?? null);
  if (entries.every((entry) => entry === null)) return fromInput(transfer.files);
  const out: Picked[] = [];
  for (const entry of entries) if (entry) await walk(entry, '', out);
  return out.sort((a, b) => (a.path < b.path ? -1 : a.path > b.path ? 1 : 0));
}

async function walk(entry: FileSystemEntry, under: string, out: Picked[]): Promise<void> {
  if (out.length >= MOST_FILES) throw new Error(`More than ${MOST_FILES} files. Drop the board's own folder.`);
  const path = under + entry.name;
  if (entry.isFile) {
    const file = await new Promise<File>((ok, fail) => (entry as FileSystemFileEntry).file(ok, fail));
    out.push({ path, file });
    return;
  }
  for (const child of await children(entry as FileSystemDirectoryEntry)) await walk(child, `${path}/`, out);
}

async function children(folder: FileSystemDirectoryEntry): Promise<FileSystemEntry[]> {
  const reader = folder.createReader();
  const out: FileSystemEntry[] = [];
  // A reader gives its entries in portions; an empty one is the end.
  for (;;) {
    const portion = await new Promise<FileSystemEntry[]>((ok, fail) => reader.readEntries(ok, fail));
    if (portion.length === 0) return out;
    out.push(...portion);
  }
}
