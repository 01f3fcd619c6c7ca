/** What a person chose or dropped, as files with their paths inside the run folder. */
import type { ImportKind } from "../../lib/model/importState.ts";

export interface ChosenFile {
  /** With the chosen folder's own name in front: "block 12/frames/004.png". */
  readonly path: string;
  readonly file: File;
}

export interface Chosen {
  readonly kind: ImportKind;
  readonly name: string;
  readonly files: readonly ChosenFile[];
}

export function fromZip(file: File): Chosen {
  return { kind: "zip", name: file.name, files: [{ path: file.name, file }] };
}

/** From `<input webkitdirectory>`. */
export function fromFolder(list: readonly File[]): Chosen {
  const files = list.map((file) => ({ path: file.webkitRelativePath, file }));
  return { kind: "folder", name: files[0]?.path.split("/")[0] ?? "", files };
}

/** What was dropped: one zip, one folder, or the files of a run folder themselves. Call it in the drop's own event: what it holds is gone afterwards. */
export async function fromDrop(data: DataTransfer): Promise<Chosen> {
  const entries = [...data.items].map((item) => item.webkitGetAsEntry()).filter((entry) => entry !== null);
  const [only] = entries;
  const files = (await Promise.all(entries.map(filesUnder))).flat();
  const [first] = files;
  if (entries.length === 1 && first !== undefined && only?.isFile === true && /\.zip$/i.test(only.name)) return fromZip(first.file);
  return { kind: "folder", name: entries.length === 1 && only !== undefined ? only.name : `${files.length} files`, files };
}

async function filesUnder(entry: FileSystemEntry): Promise<ChosenFile[]> {
  if (entry.isFile) {
    const file = await new Promise<File>((done, fail) => { (entry as FileSystemFileEntry).file(done, fail); });
    return [{ path: entry.fullPath.replace(/^\//, ""), file }];
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  const found: ChosenFile[] = [];
  // A reader gives some hundred entries at a time, and none when it is through.
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((done, fail) => { reader.readEntries(done, fail); });
    if (some.length === 0) return found;
    for (const each of some) found.push(...await filesUnder(each));
  }
}
