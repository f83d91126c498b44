/** What a cut does to the piece beyond moving its edges: told with the openings and the place, and counted by the verdict. */
import { describe, expect, it } from 'vitest';
import { cutOpenings } from '../../src/cut/cut.js';
import { type Finding, spoils } from '../../src/cut/findings/finding.js';
import { findingsOfCut } from '../../src/cut/findings/remains-of-cut.js';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { compose, rotation, translation } from '../../src/geometry/affine.js';
import { circle, cutInput, letterC, polygon, rectangle, shape } from './shapes.js';

const panel = [shape('edge', rectangle(0, 0, 200, 100))];

/** Cut and found, for a clearance of 0.5 and a kerf of 0.1 mm unless told otherwise; both ways find the same. */
const found = (
  openings: readonly Shape[],
  settings: Parameters<typeof cutInput>[1] = {},
  rest: Parameters<typeof cutInput>[2] = { outline: panel },
) => {
  const input = cutInput(openings, { kerf: 0.1, smallestLand: 1, ...settings }, rest);
  const cut = cutOpenings(input);
  const alone = findingsOfCut(input);
  expect(alone.map(({ code, openings: ids }) => [code, ids])).toEqual(
    cut.findings.map(({ code, openings: ids }) => [code, ids]),
  );
  return { ...cut, codes: cut.findings.map(({ code }) => code) };
};

const lands = ({ thinLands }: ReturnType<typeof found>): [string, string, number][] =>
  thinLands.map(({ between: [one, other], width }) => [one, other, Number(width.toFixed(3)) + 0]);

describe('lands', () => {
  it('are measured to the panel as it was cut out: half a piercing kerf smaller than drawn', () => {
    const near = found(
      [shape('o', rectangle(1.3, 40, 40, 40))],
      {},
      {
        outline: panel,
        pierced: { kerf: 0.4, compensated: false },
      },
    );
    // 1.3 drawn, less 0.2 of the opening and 0.2 of the panel, less the clearance.
    expect(lands(near)).toEqual([['o', 'edge', 0.4]]);
    expect(near.codes).toEqual([]);
  });

  it('are found within one shape, between the arms of a C', () => {
    const arms = polygon([20, 20], [80, 20], [80, 49], [40, 49], [40, 50.3], [80, 50.3], [80, 80], [20, 80]);
    const within = found([shape('c', arms)]);
    expect(lands(within)).toEqual([['c', 'c', 0.3]]);
    expect(within.thinLands[0]!.at.y).toBeCloseTo(49.65, 6);
    expect(within.codes).toEqual([]);
  });

  it('are told one by one where a comb has several', () => {
    const teeth = [0, 10, 20, 30].flatMap((x): [number, number][] => [
      [20 + x, 60],
      [20 + x, 40],
      [28.8 + x, 40],
      [28.8 + x, 60],
    ]);
    expect(lands(found([shape('comb', polygon([20, 80], ...teeth, [58.8, 80]))]))).toEqual(
      [1, 2, 3].map(() => ['comb', 'comb', 0.2]),
    );
  });

  it('are found between the parts of one path', () => {
    const two = shape('two', rectangle(20, 20, 20, 20), rectangle(41.5, 20, 20, 20));
    expect(lands(found([two]))).toEqual([['two', 'two', 0.5]]);
  });

  it('of which nothing is left are told with what is missing', () => {
    const merged = found([shape('a', rectangle(20, 20, 20, 20)), shape('b', rectangle(40.6, 20, 20, 20))]);
    expect(lands(merged)).toEqual([['a', 'b', -0.4]]);
    expect(merged.merged).toEqual([['a', 'b']]);
    const burnt = found([shape('a', rectangle(20, 20, 20, 20)), shape('b', rectangle(41, 20, 20, 20))]);
    expect(lands(burnt)).toEqual([['a', 'b', 0]]);
  });

  it('are none in a pointed tip of material', () => {
    const wedge = polygon([20, 20], [80, 20], [80, 80], [20, 80], [20, 51], [60, 50], [20, 49]);
    expect(lands(found([shape('w', wedge)]))).toEqual([]);
  });
});

describe('a cut', () => {
  it('that breaks through the edge of the panel is told with each opening and the place', () => {
    const out = found([
      shape('o1', rectangle(160, 40, 39.8, 20)),
      shape('o2', rectangle(20, 79.7, 60, 20)),
      shape('o3', rectangle(0.1, 40, 0.3, 20)),
    ]);
    expect(out.codes).toEqual(['breaks-edge', 'breaks-edge', 'breaks-edge']);
    expect(out.findings.map(({ openings }) => openings)).toEqual([['o1'], ['o2'], ['o3']]);
    expect(out.findings[0]!.at).toEqual({ x: 200, y: expect.closeTo(50, 6) });
    expect(lands(out)).toEqual([
      ['o3', 'edge', -0.4],
      ['o1', 'edge', -0.3],
      ['o2', 'edge', -0.2],
    ]);
    expect(out.warnings[0]).toMatchObject({
      code: 'breaks-edge',
      message: expect.stringContaining('at 3 places: o1 (200.0, 50.0)'),
      places: [{ openings: ['o1'], at: [200, 50] }, {}, {}],
    });
  });

  it('of an opening that is open to the edge already breaks nothing there', () => {
    const across = found([
      shape('notch', rectangle(190, 40, 20, 20)),
      shape('far', rectangle(220, 40, 5, 5)),
    ]);
    expect(across.findings.map(({ code, openings, whole }) => [code, openings[0], whole])).toEqual([
      ['outside-outline', 'notch', undefined],
      ['outside-outline', 'far', true],
    ]);
  });

  it('by which the arms of a C close lets the middle fall out', () => {
    const ring = found([shape('c', letterC(100, 50, 20, 4, 0.04))]);
    expect(ring.codes).toEqual(['falls-loose']);
    const [piece] = ring.findings;
    expect(Math.hypot(piece!.at.x - 100, piece!.at.y - 50)).toBeLessThan(1);
    expect(found([shape('c', letterC(100, 50, 20, 4, 0.08))]).codes).toEqual([]);
  });

  it('by which openings run together round a piece lets it fall out, with or without an outline', () => {
    const round = [
      shape('s', rectangle(40, 20, 40, 10)),
      shape('e', rectangle(70.5, 30.5, 9.5, 30)),
      shape('n', rectangle(40, 61, 40, 10)),
      shape('w', rectangle(40, 30.5, 9.5, 30)),
    ];
    expect(found(round).codes).toEqual(['falls-loose']);
    expect(found(round, {}, {}).codes).toEqual(['falls-loose']);
    expect(found(round).findings[0]!.size![0]).toBeCloseTo(20, 2);
  });

  it('across the whole panel cuts it in two', () => {
    const bar = found([shape('bar', rectangle(60, 0.3, 10, 99.4))]);
    expect(bar.codes).toEqual(['breaks-edge', 'breaks-edge', 'falls-loose']);
    expect(bar.findings[2]!.at.x).toBeLessThan(60);
  });

  it('burns an island away that is too narrow, and parts one with a waist', () => {
    const island = shape('o', rectangle(20, 20, 60, 60), rectangle(40, 40, 0.9, 20));
    const gone = found([island]);
    expect(gone.findings).toMatchObject([{ code: 'opening-vanished', openings: ['o'], what: 'island' }]);
    expect(gone.vanished).toEqual(['o']);
    const waist = polygon(
      [30, 40],
      [45, 40],
      [45, 49.6],
      [55, 49.6],
      [55, 40],
      [70, 40],
      [70, 60],
      [55, 60],
      [55, 50.4],
      [45, 50.4],
      [45, 60],
      [30, 60],
    );
    expect(found([shape('o', rectangle(20, 20, 60, 60), waist)]).codes).toEqual(['falls-loose']);
  });

  it('beyond all edges leaves nothing of the panel', () => {
    const all = found([shape('o', rectangle(0.2, 0.2, 199.6, 99.6))]);
    expect(all.codes[0]).toBe('nothing-left');
    expect(all.warnings[0]!.message).toContain('Nothing is left of the panel');
  });

  it('finds the same however the panel lies', () => {
    const openings = [
      shape('o1', rectangle(160, 40, 39.8, 20)),
      shape('c', letterC(100, 50, 20, 4, 0.04)),
      shape('a', rectangle(20, 20, 20, 20)),
    ];
    const toBed = compose(translation(300, 200), rotation(0.7));
    expect(found(openings, {}, { outline: panel, toBed }).codes).toEqual(found(openings).codes);
  });
});

describe('pieces that fill openings', () => {
  const inlay = { kind: 'inlay' } as const;

  it('of less than no width get no path, and are named', () => {
    const thin = found(
      [
        shape('a', rectangle(20, 20, 30, 30)),
        shape('slit', rectangle(100, 20, 0.15, 40)),
        shape('dot', circle(120, 70, 0.08)),
      ],
      { ...inlay, clearance: 0.1, kerf: 0.12 },
    );
    expect(thin.vanished).toEqual(['slit', 'dot']);
    expect(thin.paths.map(({ openings }) => openings)).toEqual([['a']]);
  });

  it('are told where one of several in a path vanishes', () => {
    const part = found([shape('o', rectangle(40, 40, 40, 40), rectangle(100, 40, 0.8, 40))], inlay);
    expect(part.vanished).toEqual(['o']);
    expect(part.findings).toMatchObject([{ code: 'opening-vanished', openings: ['o'], what: 'part' }]);
    expect(part.findings[0]!.at.x).toBeCloseTo(100.4, 6);
  });

  it('are told where they come in two, also where only the kerf parts them', () => {
    const bone = (neck: number) =>
      shape(
        'b',
        polygon(
          [20, 20],
          [35, 20],
          [35, 30 - neck / 2],
          [45, 30 - neck / 2],
          [45, 22],
          [60, 22],
          [60, 38],
          [45, 38],
          [45, 30 + neck / 2],
          [35, 30 + neck / 2],
          [35, 40],
          [20, 40],
        ),
      );
    expect(found([bone(0.8)], inlay).codes).toEqual(['piece-splits']);
    expect(found([bone(0.95)], inlay).findings).toMatchObject([
      { code: 'piece-splits', openings: ['b'], at: { x: expect.closeTo(52.5, 0) } },
    ]);
    expect(found([bone(1.2)], inlay).codes).toEqual([]);
  });

  it('are told where they are not cut apart', () => {
    const close = found([shape('a', rectangle(20, 20, 20, 20)), shape('b', rectangle(40.05, 20, 20, 20))], {
      ...inlay,
      clearance: 0,
      kerf: 0.2,
    });
    expect(close.codes).toEqual(['openings-merged']);
  });

  it('all gone are nothing to cut', () => {
    const none = found([shape('a', rectangle(20, 20, 0.3, 20))], inlay);
    expect(none.codes).toEqual(['nothing-left', 'opening-vanished']);
  });
});

describe('what spoils a piece', () => {
  const finding = (code: Finding['code'], what?: Finding['what']): Finding => ({
    code,
    openings: ['a'],
    at: { x: 0, y: 0 },
    ...(what === undefined ? {} : { what }),
  });

  it('is material that is lost or falls out, and a piece that does not come out as meant', () => {
    for (const code of ['nothing-left', 'breaks-edge', 'falls-loose', 'piece-splits'] as const) {
      expect(spoils(finding(code), 'opening')).toBe(true);
    }
    expect(spoils(finding('openings-merged'), 'inlay')).toBe(true);
    expect(spoils(finding('opening-vanished', 'island'), 'opening')).toBe(true);
    expect(spoils(finding('opening-vanished', 'opening'), 'inlay')).toBe(true);
  });

  it('is not a speck that gets no piece of its own, nor a notch at the edge', () => {
    expect(spoils(finding('opening-vanished', 'part'), 'inlay')).toBe(false);
    expect(spoils(finding('outside-outline'), 'opening')).toBe(false);
  });
});
