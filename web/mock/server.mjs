// A stand-in for the service, for developing the page: `npm run mock`, then `npm run dev`.
// It also serves web/dist, so that a built page can be looked at without anything else.
// Checks named "sound" have no query; a file whose name has "broken" in it brings a problem.

import { createServer } from 'node:http';
import { readFile } from 'node:fs/promises';
import { extname } from 'node:path';
import { board, figure } from './pictures.mjs';
import { report } from './report.mjs';

const PORT = Number(process.env.PORT ?? 8787);
const DIST = new URL('../dist/', import.meta.url);
const STEP_MS = Number(process.env.STEP_MS ?? 350);
const TYPES = { '.html': 'text/html', '.js': 'text/javascript', '.css': 'text/css', '.svg': 'image/svg+xml' };
const checks = new Map();
let made = 0;

const RULES = ['thin-ring', 'tight-gap', 'thin-web', 'padless-plated-hole', 'copper-near-edge'].map((name) => ({
  name,
  group: 'copper',
  page: `# ${name}\n\nWhat the rule looks for, in *plain words*, with \`holes.ring\` as its key.\n\n## What is measured\n\n- the final image, not its objects\n- the drilled size, not the finished one\n\n| class | required |\n|---|---|\n| 2 | 0.075 mm |\n| 3 | 0.100 mm |\n\nSource: common practice, no source.`,
}));

const PROBLEM = {
  type: '/api/problems/broken-archive', title: 'The archive cannot be unpacked', status: 422,
  detail: 'buoy-logger.zip: the directory at its end is missing.',
  advice: 'Pack the files again, open the new archive once to see that it is whole, and send that one.',
};

function send(res, status, body, type = 'application/json') {
  res.writeHead(status, { 'content-type': type });
  res.end(type.includes('json') ? JSON.stringify(body) : body);
}

const missing = (res) => send(res, 404, { type: '/api/problems/not-found', title: 'There is no such thing here', status: 404, detail: '', advice: 'Check the address.' }, 'application/problem+json');

async function body(req) {
  const parts = [];
  for await (const part of req) parts.push(part);
  return Buffer.concat(parts).toString('latin1');
}

function checkOf(id) {
  if (!checks.has(id) && /^(demo|sound)$/.test(id)) checks.set(id, { id, state: 'done', data_set: `set-${id}`, capability: 'standard', order: { thickness_um: 1600 }, told: {} });
  return checks.get(id);
}

const reportOf = (check) => report(check.order, check.capability, check.data_set === 'set-sound');

async function events(res, check) {
  res.writeHead(200, { 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
  const say = (name, data) => res.write(`event: ${name}\ndata: ${JSON.stringify(data)}\n\n`);
  const steps = check.state === 'done' ? [] : [['read', 3, 10], ['read', 10, 10], ['place', 0, 0], ['image', 2, 4], ['measure', 0, 0], ['ask', 0, 0]];
  for (const [stage, done, of] of steps) {
    say('progress', { stage, done, of });
    await new Promise((next) => setTimeout(next, STEP_MS));
  }
  check.state = 'done';
  say('done', { state: 'done', stage: null, done: 0, of: 0, problem: null });
  res.end();
}

async function onCheck(req, res, [id, what, name], url) {
  const check = checkOf(id);
  if (!check) return missing(res);
  if (req.method === 'DELETE') return checks.delete(id) && send(res, 204, '', 'text/plain');
  if (!what) return send(res, 200, check);
  if (what === 'events') return events(res, check);
  if (what === 'report') return send(res, 200, reportOf(check));
  if (what === 'board.svg') return send(res, 200, await board(url.searchParams.get('side'), reportOf(check).queries), 'image/svg+xml');
  if (what === 'figures') {
    const query = reportOf(check).queries.find((q) => `${q.number}.svg` === name);
    return query ? send(res, 200, figure(query), 'image/svg+xml') : missing(res);
  }
  if (what === 'form') return send(res, 200, '<!doctype html><title>Form</title><h1>The form</h1>', 'text/html');
  if (what === 'judge') {
    const other = { ...check, ...JSON.parse(await body(req)), id: `mock-${++made}` };
    checks.set(other.id, other);
    return send(res, 200, { id: other.id, ...reportOf(other) });
  }
  return missing(res);
}

async function api(req, res, url) {
  const [root, ...rest] = url.pathname.slice('/api/'.length).split('/').map(decodeURIComponent);
  if (root === 'capabilities') return send(res, 200, [{ name: 'standard', about: 'What most shops hold.' }, { name: 'advanced', about: 'Finer, at a price.' }]);
  if (root === 'rules') return send(res, 200, RULES);
  if (root === 'demo') return send(res, 200, { data_sets: [{ id: 'set-faults', title: 'Buoy logger, with faults' }, { id: 'set-sound', title: 'Buoy logger, sound' }] });
  if (root === 'data-sets' && req.method === 'POST') {
    const sent = await body(req);
    if (/filename="[^"]*broken/.test(sent)) return send(res, 422, PROBLEM, 'application/problem+json');
    return send(res, 201, { id: 'set-faults', files: [] });
  }
  if (root === 'checks' && rest.length === 0 && req.method === 'POST') {
    const id = `mock-${++made}`;
    checks.set(id, { id, state: 'running', ...JSON.parse(await body(req)) });
    return send(res, 202, { id });
  }
  return root === 'checks' ? onCheck(req, res, rest, url) : missing(res);
}

async function page(res, url) {
  const path = url.pathname === '/' ? 'index.html' : url.pathname.slice(1);
  const bytes = path.includes('..') ? null : await readFile(new URL(path, DIST)).catch(() => null);
  if (!bytes) return missing(res);
  return send(res, 200, bytes, TYPES[extname(path)] ?? 'application/octet-stream');
}

createServer((req, res) => {
  const url = new URL(req.url, 'http://localhost');
  const work = url.pathname.startsWith('/api/') ? api(req, res, url) : page(res, url);
  work.catch((error) => send(res, 500, { type: 'about:blank', title: 'The stand-in failed', status: 500, detail: String(error) }, 'application/problem+json'));
}).listen(PORT, '127.0.0.1', () => console.log(`http://127.0.0.1:${PORT}/`));
