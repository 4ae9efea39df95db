// The one state of the page: nothing yet, work under way, a result, or trouble.

import { api, asProblem, Trouble, upload, watch } from './api';
import type { Picked } from './drop';
import type { Check, Order, Problem, Progress, Report, Told } from './types';
import type { Unit } from './units';

export type Phase = 'empty' | 'working' | 'result' | 'trouble';

const PATH = /^#\/checks\/([^/?]+)$/;

const hashOf = (id: string) => `#/checks/${encodeURIComponent(id)}`;

class Session {
  phase = $state<Phase>('empty');
  progress = $state<Progress>({ stage: 'upload', done: 0, of: 0 });
  report = $state<Report | null>(null);
  problem = $state<Problem | null>(null);
  id = $state('');
  dataSet = $state('');
  capability = $state('standard');
  order = $state<Order>({});
  told = $state<Told>({});
  unit = $state<Unit>('mm');
  /** Grows with every new verdict, so that pictures are fetched anew. */
  edition = $state(0);
  #stop = new AbortController();

  /** Follows the address: a check, or the empty page. */
  async follow(hash: string): Promise<void> {
    const id = PATH.exec(hash)?.[1];
    if (id && decodeURIComponent(id) === this.id) return;
    if (id) await this.#run((stop) => this.#open(decodeURIComponent(id), stop));
    else this.#reset();
  }

  /** Sends files and checks them. */
  send(files: Picked[]): Promise<void> {
    this.told = {};
    return this.#run(async (stop) => {
      this.dataSet = (await upload(files, (p) => (this.progress = p), stop)).id;
      // What was said of the same files before is kept by the service.
      await this.#check(stop, true);
    });
  }

  /** Checks a set the service already has. */
  checkSet(dataSet: string, told: Told = {}): Promise<void> {
    this.told = told;
    return this.#run(async (stop) => {
      this.dataSet = dataSet;
      await this.#check(stop);
    });
  }

  /** Judges the same facts by another capability or order. */
  async judgeAgain(): Promise<void> {
    try {
      const answer = await api.judge(this.id, this.capability, $state.snapshot(this.order));
      // The outcome is a check of its own: its figures and form stand under its own name.
      this.id = answer.id;
      location.hash = hashOf(answer.id);
      this.report = answer;
      this.edition++;
      this.problem = null;
    } catch (error) {
      this.problem = asProblem(error);
    }
  }

  /** Stops whatever is under way. */
  cancel(): void {
    this.#stop.abort();
    if (this.id) void api.cancel(this.id).catch(() => undefined);
    this.startOver();
  }

  startOver(): void {
    this.#reset();
    if (location.hash) location.hash = '';
  }

  #reset(): void {
    this.#stop.abort();
    Object.assign(this, { phase: 'empty', report: null, problem: null, id: '', dataSet: '', told: {} });
  }

  async #run(work: (stop: AbortSignal) => Promise<void>): Promise<void> {
    this.#stop.abort();
    const stop = (this.#stop = new AbortController()).signal;
    Object.assign(this, { phase: 'working', report: null, problem: null, id: '' });
    this.progress = { stage: 'upload', done: 0, of: 0 };
    try {
      await work(stop);
    } catch (error) {
      if (stop.aborted) return;
      this.problem = asProblem(error);
      this.phase = 'trouble';
    }
  }

  async #check(stop: AbortSignal, asKept = false): Promise<void> {
    const body = {
      data_set: this.dataSet,
      capability: this.capability,
      order: $state.snapshot(this.order),
      ...(asKept ? {} : { told: $state.snapshot(this.told) }),
    };
    const { id } = await api.start(body);
    if (stop.aborted) return;
    if (asKept) this.told = (await api.check(id)).told ?? {};
    if (stop.aborted) return;
    this.id = id;
    location.hash = hashOf(id);
    await this.#finish(id, stop);
  }

  async #open(id: string, stop: AbortSignal): Promise<void> {
    this.id = id;
    this.progress = { stage: 'read', done: 0, of: 0 };
    const check = await api.check(id);
    if (stop.aborted) return;
    this.#recall(check);
    if (check.problem) throw new Trouble(check.problem);
    await (check.state === 'done' ? this.#show(id, stop) : this.#finish(id, stop));
  }

  #recall(check: Check): void {
    this.dataSet = check.data_set ?? '';
    this.capability = check.capability ?? this.capability;
    // An order sent as the text of a file has no fields to show.
    this.order = check.order && !('toml' in check.order) ? check.order : {};
    this.told = check.told ?? {};
  }

  async #finish(id: string, stop: AbortSignal): Promise<void> {
    this.progress = { stage: 'read', done: 0, of: 0 };
    await watch(id, (p) => (this.progress = p), stop);
    await this.#show(id, stop);
  }

  async #show(id: string, stop: AbortSignal): Promise<void> {
    const report = await api.report(id);
    if (stop.aborted) return;
    this.report = report;
    this.dataSet ||= report.data.id;
    this.edition++;
    this.phase = 'result';
  }
}

export const session = new Session();
