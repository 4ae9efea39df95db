import { describe, expect, it } from 'vitest';
import { blocks, inline } from './markdown';

describe('inline', () => {
  it('reads code, emphasis and links to the web', () => {
    expect(inline('a `b` **c** *d* [e](https://f.example/)')).toEqual([
      { kind: 'text', text: 'a ' },
      { kind: 'code', text: 'b' },
      { kind: 'text', text: ' ' },
      { kind: 'strong', text: 'c' },
      { kind: 'text', text: ' ' },
      { kind: 'em', text: 'd' },
      { kind: 'text', text: ' ' },
      { kind: 'link', text: 'e', href: 'https://f.example/' },
    ]);
  });

  it('leaves other links and markup as words', () => {
    expect(inline('[x](javascript:alert)')).toEqual([{ kind: 'text', text: 'x' }]);
    expect(inline('<script>')).toEqual([{ kind: 'text', text: '<script>' }]);
  });
});

describe('blocks', () => {
  it('reads a page', () => {
    const page = '# T\n\nOne\ntwo.\n\n- a\n  b\n- c\n\n1. x\n\n| h |\n|---|\n| v |\n\n```\ncode # x\n```\n';
    expect(blocks(page).map((b) => b.kind)).toEqual(['heading', 'paragraph', 'list', 'list', 'table', 'code']);
    expect(blocks(page)[2]).toMatchObject({ ordered: false, items: [[{ text: 'a b' }], [{ text: 'c' }]] });
    expect(blocks(page)[4]).toMatchObject({ head: [[{ text: 'h' }]], rows: [[[{ text: 'v' }]]] });
  });

  it('ends on anything', () => {
    for (const odd of ['', '|', '```', '#', '- ', '\n\n|---|', '1.']) expect(blocks(odd)).toBeInstanceOf(Array);
  });
});
