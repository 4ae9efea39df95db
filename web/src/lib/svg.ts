// Pictures come from the service, but names in them come from a stranger's data: only drawing is let through.

const ELEMENTS = new Set([
  'svg', 'g', 'path', 'circle', 'ellipse', 'rect', 'line', 'polyline', 'polygon', 'text', 'tspan', 'title', 'desc',
  'defs', 'clippath', 'mask', 'pattern', 'use', 'symbol', 'marker', 'a', 'style',
]);

const REACHES_OUT = /url\s*\((?!\s*['"]?#)|javascript:|@import/i;

/** The drawing as an element of this page, or null where it is none. */
export function drawing(text: string, into: Document = document): SVGSVGElement | null {
  const parsed = new DOMParser().parseFromString(text, 'image/svg+xml');
  const root = parsed.documentElement;
  if (root.localName !== 'svg' || parsed.querySelector('parsererror')) return null;
  clean(root);
  return into.importNode(root, true) as unknown as SVGSVGElement;
}

function clean(element: Element): void {
  for (const child of [...element.children]) {
    const style = child.localName === 'style';
    if (ELEMENTS.has(child.localName.toLowerCase()) && !(style && REACHES_OUT.test(child.textContent))) clean(child);
    else child.remove();
  }
  for (const attribute of [...element.attributes]) {
    if (!harmless(attribute)) element.removeAttributeNode(attribute);
  }
}

function harmless(attribute: Attr): boolean {
  const name = attribute.localName.toLowerCase();
  if (name.startsWith('on')) return false;
  if (name === 'href') return attribute.value.startsWith('#');
  return !REACHES_OUT.test(attribute.value);
}

/** The number of the query a mark in the drawing stands for, walking up from what was hit. */
export function markNumber(hit: Element | null): number | null {
  for (let at = hit; at; at = at.parentElement) {
    const said = at.getAttribute('data-query') ?? /^(?:mark|query)-(\d+)$/.exec(at.id)?.[1];
    const linked = /^#(?:mark|query)-(\d+)$/.exec(at.getAttribute('href') ?? '')?.[1];
    const number = Number(said ?? linked ?? Number.NaN);
    if (Number.isInteger(number) && number > 0) return number;
  }
  return null;
}
