// Rough pictures of the Tarn Row board, drawn from its committed files; enough to lay out the page.

import { readFile } from 'node:fs/promises';

const FOLDER = new URL('../../corpus/tarn-row/buoy-logger-faults/', import.meta.url);

async function shapes(name) {
  const text = await readFile(new URL(name, FOLDER), 'utf8').catch(() => '');
  const apertures = new Map();
  let current = '';
  let at = [0, 0];
  const out = [];
  for (const line of text.split('\n')) {
    const define = /^%ADD(\d+)([CRO]),([\d.]+)(?:X([\d.]+))?/.exec(line);
    const operate = /^X(-?\d+)Y(-?\d+)D0([123])\*/.exec(line);
    if (define) apertures.set(define[1], [define[2], Number(define[3]), Number(define[4] ?? define[3])]);
    else if (/^D\d\d\*/.test(line)) current = line.slice(1, -1);
    else if (operate) {
      const to = [Number(operate[1]) / 1e6, Number(operate[2]) / 1e6];
      if (operate[3] === '1') out.push(`<path d="M${at.join(' ')}L${to.join(' ')}" stroke-width="${apertures.get(current)?.[1] ?? 0.1}"/>`);
      if (operate[3] === '3') out.push(flash(apertures.get(current), to));
      at = to;
    }
  }
  return out.join('');
}

function flash(aperture, [x, y]) {
  const [kind, w, h] = aperture ?? ['C', 0.5, 0.5];
  if (kind === 'C') return `<circle cx="${x}" cy="${y}" r="${w / 2}" class="f"/>`;
  const r = kind === 'O' ? Math.min(w, h) / 2 : 0;
  return `<rect x="${x - w / 2}" y="${y - h / 2}" width="${w}" height="${h}" rx="${r}" class="f"/>`;
}

/** The board seen from a side, with marks. */
export async function board(side, queries) {
  const top = side !== 'bottom';
  const copper = await shapes(top ? 'buoy-logger-copper-1.gbr' : 'buoy-logger-copper-4.gbr');
  const marks = queries.filter((q) => q.places[0]).map((q) => {
    const { x_um, y_um } = q.places[0];
    const x = top ? x_um / 1000 : 70 - x_um / 1000;
    const y = 45 - y_um / 1000;
    return `<g data-query="${q.number}" class="m"><circle cx="${x}" cy="${y}" r="1.5"/><text x="${x}" y="${y + 0.75}">${q.number}</text></g>`;
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="-2 -2 74 49">
<style>.c{fill:none;stroke:#b8a98a;stroke-linecap:round}.c .f{fill:#b8a98a;stroke:none}.m circle{fill:#fffefb;stroke:#16191b;stroke-width:.25}.m text{font:2px sans-serif;text-anchor:middle}</style>
<rect width="70" height="45" rx="3" fill="#fffefb" stroke="#16191b" stroke-width=".2"/>
<g class="c" transform="${top ? 'translate(0 45) scale(1 -1)' : 'translate(70 45) scale(-1 -1)'}">${copper}</g>${marks.join('')}</svg>`;
}

/** The detail of one query. */
export function figure(query) {
  const said = query.measured_um === null ? '' : `${(query.measured_um / 1000).toFixed(3)} mm`;
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 140"><rect width="200" height="140" fill="#fffefb"/>
<path d="M0 45h70l20 14h60l20-14h30" stroke="#b8a98a" stroke-width="18" fill="none"/><path d="M0 95h200" stroke="#b8a98a" stroke-width="18"/>
<path d="M120 68v18M114 68h12M114 86h12" stroke="#16191b" stroke-width="1.2" fill="none"/><text x="132" y="81" font-family="sans-serif" font-size="11">${said}</text></svg>`;
}
