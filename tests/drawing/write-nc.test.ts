import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CutFile } from '../../src/drawing/write/cut-file.js';
import { writeCutFile } from '../../src/drawing/write/write.js';
import { type Arc, endOf, type Line } from '../../src/geometry/curve.js';
import type { NcWords } from '../../src/job/job.js';
import { longestNcLine } from '../../src/job/read/read-nc.js';
import { messageOf } from '../job/message-of.js';
import { arc, circle, fileOf, line, roundedRectangle, turning } from './cut-files.js';
import { evaluate, missOf } from './nc-machine.js';

const words: NcWords = {
  feed: 1200,
  beforeCut: ['M3 S400', 'G4 P0.1'],
  afterCut: ['M5'],
  firstLines: [],
  lastLines: [],
  decimals: 4,
  arcs: true,
};
const tool = { on: words.beforeCut!, off: words.afterCut! };

type Segments = readonly (Line | Arc)[];
interface Drawn {
  readonly segments: Segments;
  readonly open: boolean;
}

const ncOf = (paths: readonly Drawn[], how: Partial<NcWords> = {}, file: Partial<CutFile> = {}): string =>
  writeCutFile(
    {
      axes: 'y-up',
      nc: { ...words, ...how },
      ...file,
      paths: paths.map(({ segments, open }, i) => ({ segments, open, layer: 'cut', id: `p${i}` })),
    },
    'nc',
  );

const closed = (segments: Segments): Drawn => ({ segments, open: false });
const open = (segments: Segments): Drawn => ({ segments, open: true });

/** The lines behind comments and modes. */
const program = (text: string): string[] => {
  const lines = text.trimEnd().split('\n');
  return lines.slice(lines.indexOf('G90') + 1);
};

/** Doubles as fast-check draws them are nearly all tiny. */
const evenly = (low: number, high: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: 1_000_003 }).map((k) => low + ((high - low) * k) / 1_000_003);

/** Of every size from a few micrometres to the bed, with arcs from nearly straight to nearly whole circles. */
const anyPath: fc.Arbitrary<Drawn> = fc
  .record({
    open: fc.boolean(),
    size: evenly(-2.5, 3),
    x: evenly(-50, 1200),
    y: evenly(-50, 900),
    corners: fc.array(
      fc.record({
        x: evenly(0, 1),
        y: evenly(0, 1),
        sweep: fc.oneof(fc.constant(0), evenly(-6.1, 6.1), evenly(-0.01, 0.01)),
      }),
      { minLength: 3, maxLength: 7 },
    ),
  })
  .map(({ open, size, x, y, corners }) => {
    const scale = 10 ** size;
    const at = corners.map((c) => ({ x: x + scale * c.x, y: y + scale * c.y }));
    const edges = corners.flatMap(({ sweep }, i) => {
      const a = at[i]!;
      const b = at[(i + 1) % at.length]!;
      if (open && i === at.length - 1) return [];
      if (Math.hypot(a.x - b.x, a.y - b.y) < 1e-7) return [];
      return [turning(a, b, Math.abs(sweep) < 1e-7 ? 0 : sweep)];
    });
    return { open, segments: edges };
  })
  // What is smaller than the coarsest decimals is not written; see below.
  .filter(({ segments }) => {
    const ends = segments.map(endOf);
    return segments.length > 1 && ends.some((p) => Math.hypot(p.x - ends[0]!.x, p.y - ends[0]!.y) > 0.004);
  });

describe('an NC cut file', () => {
  it('cuts a square with the tool on and comes to it with the tool off', () => {
    const square = [line(10, 20, 40, 20), line(40, 20, 40, 50), line(40, 50, 10, 50), line(10, 50, 10, 20)];
    expect(program(ncOf([closed(square)]))).toEqual([
      'M5',
      'G0 X10.0000 Y20.0000',
      'M3 S400',
      'G4 P0.1',
      'G1 X40.0000 Y20.0000 F1200.0',
      'G1 X40.0000 Y50.0000',
      'G1 X10.0000 Y50.0000',
      'G1 X10.0000 Y20.0000',
      'M5',
    ]);
  });

  it('cuts a circle in quarters: G3 where angles grow, G2 where they fall (ISO 6983-1)', () => {
    const full = 2 * Math.PI;
    expect(program(ncOf([closed([arc(50, 40, 10, 0, full)])], { decimals: 3 })).slice(4, -1)).toEqual([
      'G3 X50.000 Y50.000 I-10.000 J0.000 F1200.0',
      'G3 X40.000 Y40.000 I0.000 J-10.000',
      'G3 X50.000 Y30.000 I10.000 J0.000',
      'G3 X60.000 Y40.000 I0.000 J10.000',
    ]);
    expect(program(ncOf([closed([arc(0, 0, 10, 0, -full)])], { decimals: 3 })).slice(4, 5)).toEqual([
      'G2 X0.000 Y-10.000 I-10.000 J0.000 F1200.0',
    ]);
  });

  it('leaves an open path where it ends', () => {
    const lines = program(ncOf([open([line(0, 0, 5, 0), line(5, 0, 5, 9)])]));
    expect(lines.filter((l) => l.startsWith('G1'))).toEqual([
      'G1 X5.0000 Y0.0000 F1200.0',
      'G1 X5.0000 Y9.0000',
    ]);
  });

  it('lies within 0.002 mm of its paths, whatever the control makes of the words alone', () => {
    let arcs = 0;
    let worst = 0;
    fc.assert(
      fc.property(
        fc.array(anyPath, { minLength: 1, maxLength: 3 }),
        fc.integer({ min: 3, max: 6 }),
        (paths, decimals) => {
          const done = evaluate(ncOf(paths, { decimals }), tool);
          arcs += done.arcs;
          expect(done.radiiApart).toBeLessThanOrEqual(10 ** -decimals);
          expect(done.longestLine).toBeLessThanOrEqual(longestNcLine);
          expect(done.cuts).toHaveLength(paths.length);
          paths.forEach(({ segments }, i) => {
            const miss = missOf(done.cuts[i]!, segments);
            worst = Math.max(worst, miss);
            expect(miss).toBeLessThan(0.002);
          });
        },
      ),
      { seed: 20261125, numRuns: 400 },
    );
    expect(arcs).toBeGreaterThan(1000);
    expect(worst).toBeGreaterThan(0.0001);
  });

  it('lies as near where the control has no arcs', () => {
    fc.assert(
      fc.property(anyPath, (path) => {
        const done = evaluate(ncOf([path], { arcs: false, decimals: 3 }), tool);
        expect(done.arcs).toBe(0);
        expect(missOf(done.cuts[0]!, path.segments)).toBeLessThan(0.002);
      }),
      { seed: 20261125, numRuns: 100 },
    );
  });

  it('never closes a short arc to a whole circle', () => {
    // Both ends of each fall on one number.
    const short = [turning({ x: 10, y: 10 }, { x: 10.00001, y: 10 }, 1), line(10.00001, 10, 30, 10)];
    const { cuts, arcs } = evaluate(ncOf([open(short)]), tool);
    expect(arcs).toBe(0);
    expect(cuts[0]!.points).toEqual([
      { x: 10, y: 10 },
      { x: 30, y: 10 },
    ]);
  });

  it('does not switch the tool on for a path too small to be written', () => {
    const dot = [line(5, 5, 5.000001, 5), line(5.000001, 5, 5, 5)];
    expect(program(ncOf([closed(dot)]))).toEqual(['M5']);
  });

  it('gives arcs nearly straight as straight moves: seven digits do not hold their centre', () => {
    const path = [turning({ x: 0, y: 0 }, { x: 1000, y: 0 }, 0.002)];
    const { arcs, cuts } = evaluate(ncOf([open(path)]), tool);
    expect(arcs).toBe(0);
    expect(missOf(cuts[0]!, path)).toBeLessThan(0.002);
  });

  it('puts the first and last lines round everything, and says what to beware of', () => {
    const text = ncOf([closed(circle(50, 40, 10))], {
      firstLines: ['%', 'O1001', 'G54'],
      lastLines: ['M2', '%'],
    });
    const lines = text.trimEnd().split('\n');
    expect(lines.slice(0, 3)).toEqual(['%', 'O1001', 'G54']);
    expect(lines.slice(-3)).toEqual(['M5', 'M2', '%']);
    expect(text).toMatch(/^\(.*beam off/m);
    expect(text).toMatch(/^\(.*PVC/m);
    expect(text).toMatch(/^\(.*IEC 60825-1/m);
  });

  it.each([
    ['Farn (außen) %\nM3 S9', '(reseat: Farn auen M3 S9)'],
    ['$X! ~?; Blüten "1"', '(reseat: X Bluten 1)'],
    ['', '(reseat:)'],
  ])('writes the title %j into a comment no control acts upon', (title, comment) => {
    const text = ncOf([closed(circle(50, 40, 10))], {}, { title });
    expect(text.split('\n')[0]).toBe(comment);
  });

  it('keeps its comments short and plain for any title', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 300 }), (title) => {
        const lines = ncOf([closed(circle(50, 40, 10))], {}, { title }).split('\n');
        for (const text of lines) expect(text.length).toBeLessThanOrEqual(longestNcLine);
        for (const text of lines.slice(0, lines.indexOf('G17'))) {
          expect(text).toMatch(/^\([A-Za-z0-9 .,:+/=_-]*\)$/);
        }
      }),
      { seed: 20261125, numRuns: 200 },
    );
  });

  it('writes what the display shows, whichever way it counts', () => {
    const rings = [closed(roundedRectangle(10, 20, 30, 15, 4))];
    expect(ncOf(rings, {}, { axes: 'y-down' })).toBe(ncOf(rings));
  });

  it.each<[string, NcWords | undefined, string]>([
    ['nothing', undefined, 'feed, before-cut, after-cut'],
    ['a feed', { ...plain(), feed: 600 }, 'before-cut, after-cut'],
    ['the tool words', { ...plain(), beforeCut: ['M3'], afterCut: ['M5'] }, 'feed'],
  ])('is refused for a machine of which %s is known', (_, nc, missing) => {
    const file = { ...fileOf('y-up', [circle(50, 40, 10)]), ...(nc ? { nc } : {}) };
    const message = messageOf(() => writeCutFile(file, 'nc'));
    expect(message).toContain(`an NC file for a machine whose profile does not say ${missing};`);
    expect(message).toContain('reseat does not guess them.');
  });
});

function plain(): NcWords {
  return { firstLines: [], lastLines: [], decimals: 4, arcs: true };
}
