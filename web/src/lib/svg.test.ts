import { describe, expect, it } from 'vitest';
import { drawing, markNumber } from './svg';

const svg = (inside: string) => `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1">${inside}</svg>`;

describe('drawing', () => {
  it('lets drawing through and nothing that acts', () => {
    const got = drawing(
      svg(
        '<script>x()</script><g onclick="x()"><path d="M0 0"/><foreignObject/></g><a href="javascript:x()"><text>7</text></a>' +
          '<image href="http://a.example/"/><rect fill="url(http://a.example/)"/><rect fill="url(#p)"/><style>@import "x";</style><style>.a{fill:red}</style>',
      ),
    );
    const text = got?.outerHTML ?? '';
    expect(text).toContain('<path d="M0 0"');
    expect(text).toContain('url(#p)');
    expect(text).toContain('.a{fill:red}');
    for (const bad of ['script', 'onclick', 'foreignObject', 'image', 'a.example', '@import']) expect(text).not.toContain(bad);
  });

  it('refuses what is no drawing', () => {
    expect(drawing('<html></html>')).toBeNull();
    expect(drawing('<svg xmlns="http://www.w3.org/2000/svg"><g></svg>')).toBeNull();
    expect(drawing('')).toBeNull();
  });
});

describe('markNumber', () => {
  it('finds the query a mark stands for', () => {
    const got = drawing(svg('<g data-query="3"><text>3</text></g><a href="#query-4"><path/></a><g id="mark-5"><path/></g><rect/>'));
    const at = (selector: string) => markNumber(got?.querySelector(selector) ?? null);
    expect([at('text'), at('a path'), at('#mark-5 path'), at('rect')]).toEqual([3, 4, 5, null]);
  });
});
