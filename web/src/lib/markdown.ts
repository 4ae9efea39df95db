// A small reader for the pages of rules. It gives a tree, never HTML, so that nothing in a page can act.

export type Inline =
  | { kind: 'text' | 'code' | 'strong' | 'em'; text: string }
  | { kind: 'link'; text: string; href: string };

export type Block =
  | { kind: 'heading'; level: number; content: Inline[] }
  | { kind: 'paragraph'; content: Inline[] }
  | { kind: 'list'; ordered: boolean; items: Inline[][] }
  | { kind: 'code'; text: string }
  | { kind: 'table'; head: Inline[][]; rows: Inline[][][] };

const INLINE = /`([^`]+)`|\*\*([^*]+)\*\*|\*([^*]+)\*|\[([^\]]+)\]\(([^)\s]+)\)/g;
const ITEM = /^\s*(?:[-*]|(\d+)\.)\s+(.*)$/;

/** Words with code, emphasis and links. A link to anything but the web is left as words. */
export function inline(text: string): Inline[] {
  const out: Inline[] = [];
  let last = 0;
  for (const m of text.matchAll(INLINE)) {
    if (m.index > last) out.push({ kind: 'text', text: text.slice(last, m.index) });
    out.push(piece(m));
    last = m.index + m[0].length;
  }
  if (last < text.length) out.push({ kind: 'text', text: text.slice(last) });
  return out;
}

function piece(m: RegExpMatchArray): Inline {
  if (m[1] !== undefined) return { kind: 'code', text: m[1] };
  if (m[2] !== undefined) return { kind: 'strong', text: m[2] };
  if (m[3] !== undefined) return { kind: 'em', text: m[3] };
  const [text = '', href = ''] = [m[4], m[5]];
  return /^https?:\/\//i.test(href) ? { kind: 'link', text, href } : { kind: 'text', text };
}

/** Reads a page into blocks. */
export function blocks(page: string): Block[] {
  const lines = page.replaceAll('\r\n', '\n').split('\n');
  const out: Block[] = [];
  let i = 0;
  while (i < lines.length) {
    const [block, next] = takeBlock(lines, i);
    if (block) out.push(block);
    i = Math.max(next, i + 1);
  }
  return out;
}

function takeBlock(lines: string[], i: number): [Block | null, number] {
  const line = lines[i] ?? '';
  if (line.trim() === '') return [null, i + 1];
  if (line.startsWith('```')) return takeCode(lines, i + 1);
  const heading = /^(#{1,6})\s+(.*)$/.exec(line);
  if (heading) return [{ kind: 'heading', level: heading[1]?.length ?? 1, content: inline(heading[2] ?? '') }, i + 1];
  if (line.trimStart().startsWith('|')) return takeTable(lines, i);
  return ITEM.test(line) ? takeList(lines, i) : takeParagraph(lines, i);
}

function takeCode(lines: string[], start: number): [Block, number] {
  let i = start;
  while (i < lines.length && !lines[i]?.startsWith('```')) i++;
  return [{ kind: 'code', text: lines.slice(start, i).join('\n') }, i + 1];
}

function takeTable(lines: string[], start: number): [Block, number] {
  let i = start;
  while (lines[i]?.trimStart().startsWith('|')) i++;
  const cells = (line: string) => line.trim().replace(/^\||\|$/g, '').split('|').map((c) => inline(c.trim()));
  const rows = lines.slice(start, i).filter((line) => !/^[\s|:-]+$/.test(line)).map(cells);
  return [{ kind: 'table', head: rows[0] ?? [], rows: rows.slice(1) }, i];
}

function takeList(lines: string[], start: number): [Block, number] {
  const items: string[] = [];
  const ordered = ITEM.exec(lines[start] ?? '')?.[1] !== undefined;
  let i = start;
  for (; i < lines.length && lines[i]?.trim() !== ''; i++) {
    const item = ITEM.exec(lines[i] ?? '');
    if (item) items.push(item[2] ?? '');
    else items[items.length - 1] += ` ${lines[i]?.trim() ?? ''}`;
  }
  return [{ kind: 'list', ordered, items: items.map(inline) }, i];
}

function takeParagraph(lines: string[], start: number): [Block, number] {
  let i = start;
  const ends = (line: string) => line.trim() === '' || /^(#{1,6}\s|```)/.test(line) || ITEM.test(line);
  while (i < lines.length && (i === start || !ends(lines[i] ?? ''))) i++;
  return [{ kind: 'paragraph', content: inline(lines.slice(start, i).join(' ').trim()) }, i];
}
