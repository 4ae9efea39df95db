import type { Picked } from './drop';
import type { Check, CheckRequest, DemoSet, Named, Order, Problem, Progress, Report, Rule } from './types';

/** Trouble the service told of, or that kept us from it. */
export class Trouble extends Error {
  constructor(readonly problem: Problem) {
    super(problem.detail || problem.title);
  }
}

const UNREACHED: Problem = {
  type: 'about:blank',
  title: 'The service could not be reached',
  status: 0,
  detail: 'No answer came over the network.',
  action: 'See that it runs, then try again. Nothing was lost: your files are still on your machine.',
};

/** Any error as a problem to show. */
export function asProblem(error: unknown): Problem {
  if (error instanceof Trouble) return error.problem;
  const detail = error instanceof Error ? error.message : String(error);
  return { type: 'about:blank', title: 'This page could not go on', status: 0, detail, action: 'Reload the page and try again.' };
}

function problemFrom(status: number, text: string): Problem {
  try {
    const body = JSON.parse(text) as Partial<Problem>;
    if (typeof body.title === 'string') return { type: 'about:blank', status, detail: '', ...body } as Problem;
  } catch {
    // Not JSON: a proxy or the like answered.
  }
  return {
    type: 'about:blank',
    title: `The service answered ${status}`,
    status,
    detail: text.slice(0, 300),
    action: 'Try again. If it stays so, tell whoever runs the service.',
  };
}

async function request(path: string, init?: RequestInit): Promise<Response> {
  const answer = await fetch(path, init).catch(() => {
    throw new Trouble(UNREACHED);
  });
  if (!answer.ok) throw new Trouble(problemFrom(answer.status, await answer.text()));
  return answer;
}

async function json<T>(path: string, init?: RequestInit): Promise<T> {
  return (await (await request(path, init)).json()) as T;
}

const post = (body: unknown): RequestInit => ({
  method: 'POST',
  headers: { 'content-type': 'application/json' },
  body: JSON.stringify(body),
});

const checkPath = (id: string) => `/api/checks/${encodeURIComponent(id)}`;

export const api = {
  capabilities: () => json<Named[]>('/api/capabilities'),
  rules: () => json<Rule[]>('/api/rules'),
  demo: async (): Promise<DemoSet[]> => (await json<{ data_sets: DemoSet[] }>('/api/demo')).data_sets,
  start: (body: CheckRequest) => json<{ id: string }>('/api/checks', post(body)),
  check: (id: string) => json<Check>(checkPath(id)),
  report: (id: string) => json<Report>(`${checkPath(id)}/report`),
  judge: (id: string, capability: string, order: Order) =>
    json<Report & { id: string }>(`${checkPath(id)}/judge`, post({ capability, order })),
  board: async (id: string, side: string) => (await request(`${checkPath(id)}/board.svg?side=${side}`)).text(),
  cancel: (id: string) => request(checkPath(id), { method: 'DELETE' }),
  figure: (id: string, number: number) => `${checkPath(id)}/figures/${number}.svg`,
  form: (id: string) => `${checkPath(id)}/form`,
};

function dataSet(text: string): { id: string } | null {
  try {
    const body = JSON.parse(text) as { id?: unknown };
    return typeof body.id === 'string' ? { id: body.id } : null;
  } catch {
    return null;
  }
}

/** Sends files; only XMLHttpRequest tells how far an upload has come. */
export function upload(files: Picked[], told: (p: Progress) => void, stop: AbortSignal): Promise<{ id: string }> {
  const form = new FormData();
  for (const { path, file } of files) form.append('files', file, path);
  return new Promise((ok, fail) => {
    const xhr = new XMLHttpRequest();
    xhr.open('POST', '/api/data-sets');
    xhr.upload.onprogress = (e) => told({ stage: 'upload', done: e.loaded, of: e.lengthComputable ? e.total : 0 });
    xhr.onerror = () => fail(new Trouble(UNREACHED));
    xhr.onabort = () => fail(new DOMException('stopped', 'AbortError'));
    xhr.onload = () => {
      const set = xhr.status >= 200 && xhr.status < 300 ? dataSet(xhr.responseText) : null;
      if (set) ok(set);
      else fail(new Trouble(problemFrom(xhr.status, xhr.responseText)));
    };
    stop.addEventListener('abort', () => xhr.abort());
    xhr.send(form);
  });
}

/** A check that waits for its turn has no stage yet. */
function progressOf(data: string): Progress {
  const said = JSON.parse(data) as Partial<Progress> & { state?: string };
  const text = said.text ?? (said.state === 'queued' ? 'waiting for its turn' : undefined);
  return { stage: said.stage ?? 'read', done: said.done ?? 0, of: said.of ?? 0, ...(text ? { text } : {}) };
}

/** Watches a check to its end; rejects with the problem it failed of. */
export function watch(id: string, told: (p: Progress) => void, stop: AbortSignal): Promise<void> {
  return new Promise((ok, fail) => {
    const events = new EventSource(`${checkPath(id)}/events`);
    const end = (act: () => void) => {
      events.close();
      act();
    };
    stop.addEventListener('abort', () => end(() => fail(new DOMException('stopped', 'AbortError'))));
    events.addEventListener('progress', (e) => told(progressOf((e as MessageEvent<string>).data)));
    events.addEventListener('done', () => end(ok));
    events.addEventListener('failed', (e) => {
      const { problem } = JSON.parse((e as MessageEvent<string>).data) as { problem: Problem };
      end(() => fail(new Trouble(problem)));
    });
    // The connection may drop; the browser comes back by itself unless the service refused for good.
    events.addEventListener('error', () => {
      if (events.readyState === EventSource.CLOSED) end(() => settle(id).then(ok, fail));
    });
  });
}

/** Without events: asks for the state until it is final. */
async function settle(id: string): Promise<void> {
  for (;;) {
    const check = await api.check(id);
    if (check.state === 'done') return;
    if (check.problem) throw new Trouble(check.problem);
    if (check.state === 'failed' || check.state === 'cancelled') {
      throw new Trouble({ ...UNREACHED, title: `The check has ${check.state}`, detail: '', action: 'Start it again.' });
    }
    await new Promise((next) => setTimeout(next, 1000));
  }
}
