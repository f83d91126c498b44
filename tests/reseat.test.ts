import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkJob, cutJob, type Files, fitJob, InputError, loadJob } from '../src/index.js';
import { jobText, panel } from './cli/workshop.js';

const files = (byName: Record<string, string>): Files => ({
  read: (path) => {
    const text = byName[path];
    return text === undefined ? undefined : new TextEncoder().encode(text);
  },
});

const load = (text: string, drawing = panel) =>
  loadJob({ path: 'job.yaml', text }, files({ 'panel.svg': drawing }));

describe('the whole job', () => {
  it('needs no disk: files come from wherever they are', () => {
    const loaded = load(jobText());
    expect([...loaded.marks.keys()]).toEqual(['A', 'B', 'C', 'D']);
    expect(loaded.roles.openings.map((shape) => shape.id)).toEqual(['moon', 'window']);
  });

  it('refuses a witness point that lies on no edge, corner or mark, and says where the nearest edge is', () => {
    const stray = `${jobText()}\nwitness:\n  - {point: [1000, 1000], reading: [1, 1]}\n`;
    expect(() => load(stray)).toThrow(/the witness point \[1000, 1000\], [\d.]+ mm from the nearest edge/);
  });

  it('names the file of the job that is not there', () => {
    expect(() => loadJob({ path: 'a/job.yaml', text: jobText() }, files({}))).toThrow(InputError);
  });

  it('finds a mark by its label where the readings use that', () => {
    const labelled = panel.replace('id="A"', 'id="c1" data-name="A"');
    expect([...load(jobText(), labelled).marks.keys()]).toEqual(['A', 'B', 'C', 'D']);
  });

  const near = (limit: number) => fc.double({ min: -limit, max: limit, noNaN: true });

  it('runs design, face, fit, clearance, bed map, beam offset in that order, whatever they are', () => {
    fc.assert(
      fc.property(
        fc.record({
          angle: near(Math.PI),
          x: fc.double({ min: 300, max: 600, noNaN: true }),
          y: fc.double({ min: 300, max: 600, noNaN: true }),
          face: fc.constantFrom('up', 'down'),
          axes: fc.constantFrom('y-up', 'y-down'),
          sx: fc.double({ min: 0.99, max: 1.01, noNaN: true }),
          sy: fc.double({ min: 0.99, max: 1.01, noNaN: true }),
          skew: near(3),
          bx: near(2),
          by: near(2),
        }),
        ({ angle, x, y, face, axes, sx, sy, skew, bx, by }) => {
          const g = skew / 1000;
          const toTrue = (px: number, py: number): [number, number] => {
            const mx = face === 'down' ? -px : px;
            return [
              Math.cos(angle) * mx - Math.sin(angle) * py + x,
              Math.sin(angle) * mx + Math.cos(angle) * py + y,
            ];
          };
          // x_true = sx x - sy y sin g, y_true = sy y cos g, solved for the display.
          const toDisplay = ([tx, ty]: [number, number]): [number, number] => {
            const v = ty / (sy * Math.cos(g));
            const u = (tx + sy * v * Math.sin(g)) / sx;
            return [u, axes === 'y-down' ? -v : v];
          };
          const machine = `machine: {axes: ${axes}, beam-offset: [${bx}, ${by}], bed-map: {scale: [${sx}, ${sy}], skew-mrad: ${skew}}}`;
          const text = jobText({
            place: (px, py) => toDisplay(toTrue(px, py)),
            disturbance: [0, 0, 0, 0],
            more: `face: ${face}\n${machine}`,
          });
          const done = cutJob(load(text));
          if (!done.ok) throw new Error(done.failure.reason);
          const moon = done.cut.paths.find((path) => path.openings.includes('moon'))!;
          const [cx, cy] = toDisplay(toTrue(60, 50));
          // A radius of 10.4 on the material; the bed map is within 2 % of nothing.
          expect((moon.box.minX + moon.box.maxX) / 2).toBeCloseTo(cx - bx, 2);
          expect((moon.box.minY + moon.box.maxY) / 2).toBeCloseTo(cy - by, 2);
          const across = (moon.box.maxX - moon.box.minX) * sx;
          const up = (moon.box.maxY - moon.box.minY) * sy;
          // The skew widens the box of the display by sqrt(1 + tan^2 g) at most.
          expect(Math.abs(across - 20.8)).toBeLessThan(0.011);
          expect(Math.abs(up - 20.8)).toBeLessThan(0.011);
        },
      ),
      { seed: 20261125, numRuns: 60 },
    );
  });

  it('says along with a cut what the check says, also of thousands of openings', () => {
    const squares = Array.from({ length: 1400 }, (_, i) => {
      const [x, y] = [30 + (i % 50) * 3, 8 + Math.floor(i / 50) * 3];
      return `<rect id="s${i}" x="${x}" y="${y}" width="1" height="1"/>`;
    });
    const drawing = panel.replace(/<g id="openings">.*?<\/g>/s, `<g id="openings">${squares.join('')}</g>`);
    const loaded = load(jobText(), drawing);
    const checked = checkJob(loaded);
    const cut = cutJob(loaded);
    if (!checked.ok || !cut.ok) throw new Error('not placed');
    expect(checked.check.verdict).toBe('fits');
    const { warnings, assumptions = [] } = cut.check!;
    expect(cut.check).toEqual({ ...checked.check, warnings, assumptions });
    // Of what is supposed a cut looks only for what turns the verdict first.
    expect(assumptions[0]).toEqual(checked.check.assumptions![0]);
    expect(cut.unproven).toBeUndefined();
  });

  it('doubts readings before anything is cut', () => {
    const { warnings } = fitJob(load(jobText({ disturbance: [0, 4.2, 0, 0] })));
    const doubts = warnings.filter((w) => w.code === 'suspect-reading' || w.code === 'likely-slip');
    expect(doubts.flatMap((w) => w.marks ?? [])).toContain('B');
  });
});
