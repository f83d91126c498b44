import { describe, expect, it } from 'vitest';
import { fitJob, fitText, loadJob } from '../../src/internal.js';
import { columns, widthOf } from '../../src/report/text/layout.js';

/** A job whose marks lie on a ring of the design and are read through `place`. */
const textOf = (
  count: number,
  place: (x: number, y: number) => [number, number],
  options: { model?: string; name?: (i: number) => string; sd?: string } = {},
): string => {
  const { model = 'rigid', name = (i) => `m${i + 1}`, sd = 'reading-sd: 0.05, ' } = options;
  const marks = Array.from({ length: count }, (_, i) => {
    const angle = i * 2.399963;
    const radius = 40 + 20 * Math.sqrt(i);
    return { name: name(i), x: 150 + radius * Math.cos(angle), y: 150 + radius * Math.sin(angle) };
  });
  const text = [
    'drawing: leaf.svg',
    'marks:',
    ...marks.map((m) => `  "${m.name}": [${m.x.toFixed(4)}, ${m.y.toFixed(4)}]`),
    'readings:',
    ...marks.map((m, i) => {
      const [x, y] = place(m.x, m.y);
      return `  "${m.name}": [${(x + 0.03 * Math.cos(3 * i)).toFixed(4)}, ${(y + 0.03 * Math.sin(5 * i)).toFixed(4)}]`;
    }),
    `fit: {${sd}model: ${model}}`,
    '',
  ].join('\n');
  const drawing =
    '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" viewBox="0 0 300 300"><circle id="leaf" cx="150" cy="150" r="9"/></svg>';
  const loaded = loadJob({ path: 'leaf.yaml', text }, { read: () => new TextEncoder().encode(drawing) });
  const { outcome, warnings } = fitJob(loaded);
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  const said = fitText(loaded.job, outcome.fit, warnings);
  for (const line of said.split('\n')) expect(widthOf(line)).toBeLessThanOrEqual(columns);
  return said;
};

const turned =
  (angle: number, size = 1) =>
  (x: number, y: number): [number, number] => [
    size * (Math.cos(angle) * x - Math.sin(angle) * y) + 400,
    size * (Math.sin(angle) * x + Math.cos(angle) * y) + 300,
  ];

describe('the fit for people', () => {
  it('says which way the part is turned', () => {
    expect(textOf(4, turned(0.02))).toMatch(/turned {3}1\.1\d+ deg counter-clockwise/);
    expect(textOf(4, turned(-0.02))).toMatch(/turned {3}1\.1\d+ deg clockwise/);
  });

  it('gives scale and lean only for models that have them', () => {
    expect(textOf(4, turned(0.1))).not.toContain('scaled');
    const similar = textOf(5, turned(0.1, 1.002), { model: 'similarity' });
    expect(similar).toMatch(/scaled {3}1\.00[12]\d+\n/);
    expect(similar).not.toContain('leaning');
    const affine = textOf(6, turned(0.1, 1.002), { model: 'affine' });
    expect(affine).toMatch(/scaled {3}1\.00\d+ along x, 1\.00\d+ along y\n {2}leaning {2}[+-]?0\.0\d+ deg/);
  });

  it('shows the largest residuals of many marks and counts the rest', () => {
    const said = textOf(20, turned(0.3));
    expect(said.match(/^ {2}m\d+ /gm)).toHaveLength(12);
    expect(said).toContain('  and 8 marks with smaller residuals\n');
  });

  it('shortens names that are too long for the table', () => {
    const said = textOf(4, turned(0.3), { name: (i) => `drilled mark at the ${'far '.repeat(i)}corner` });
    expect(said).toMatch(/^ {2}drilled \S*…/m);
  });

  it('tells a stated sd from an estimated one', () => {
    expect(textOf(4, turned(0.3))).toMatch(/The stated sd\s+of\s+0\.050 mm accounts for that, p = 0\.\d\d\./);
    const estimated = textOf(4, turned(0.3), { sd: '' }).replace(/\s+/g, ' ');
    expect(estimated).toContain('No sd is stated; estimated from these residuals it is 0.0');
    expect(estimated).toContain('with 5 degrees of freedom');
  });
});
