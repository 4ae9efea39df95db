// Answers chosen on this page stay in this browser; they are sent by whoever copies or prints them.

import type { Query, Report } from './types';

export type Answers = Record<string, string>;

const key = (data: string) => `landgap.answers.${data}`;

/** Answers kept for a data set. */
export function load(data: string): Answers {
  try {
    return JSON.parse(localStorage.getItem(key(data)) ?? '{}') as Answers;
  } catch {
    return {};
  }
}

/** Keeps answers where the browser allows it. */
export function save(data: string, answers: Answers): void {
  try {
    localStorage.setItem(key(data), JSON.stringify(answers));
  } catch {
    // Private windows may refuse; the answers then last as long as the page.
  }
}

function line(query: Query, chosen: string | undefined): string {
  const option = query.options.find((o) => o.key === chosen);
  return `${query.number}. ${query.title}\n   ${option ? `${option.key}: ${option.text}` : 'not answered'}`;
}

/** The answers as text for a letter. */
export function asText(report: Report, answers: Answers): string {
  const lines = report.queries.filter((q) => q.options.length > 0).map((q) => line(q, answers[q.fingerprint]));
  return [`Answers to the engineering queries on ${report.data.id}`, '', ...lines, ''].join('\n');
}
