import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PlacingFault, placeEntity } from '../../src/drawing/dxf/blocks/place-entity.js';
import { PlainPlacer } from '../../src/drawing/dxf/blocks/place-plain.js';
import type { CurveEntity } from '../../src/drawing/dxf/entities.js';
import type { Properties } from '../../src/drawing/dxf/properties.js';
import { compose, type Matrix, rotation, scaling, translation } from '../../src/geometry/affine.js';
import type { Path } from '../../src/geometry/curve.js';
import { CurveStore } from '../../src/geometry/curve-store.js';
import { emptyBox, joinBoxes } from '../../src/geometry/point.js';

const properties: Properties = {
  type: 'ANY',
  at: 1,
  handle: undefined,
  layer: '0',
  colour: 256,
  trueColour: undefined,
  invisible: false,
  paperSpace: false,
};

const one = (...values: number[]) => fc.constantFrom(...values);
/** Coordinates that often meet, nearly meet, or lie out of reach. */
const coordinate = fc.oneof(
  { weight: 8, arbitrary: fc.double({ min: -50, max: 50, noNaN: true }) },
  { weight: 4, arbitrary: one(0, 1, 10) },
  { weight: 1, arbitrary: one(1e-7, 1 + 1e-7, 1 + 1e-5, 2e7, 3e9) },
);
const vector = fc.record({ x: coordinate, y: coordinate, z: one(0, 0, 0, 0, 5) });
const facing = fc.constantFrom(
  'up' as const,
  'up' as const,
  'up' as const,
  'down' as const,
  'tilted' as const,
);
const bulge = fc.oneof(one(0, 0, 0.5, -1, 1, 3, 1e-7, -1e-11), fc.double({ min: -1, max: 1, noNaN: true }));

const entity: fc.Arbitrary<CurveEntity> = fc.oneof(
  fc.record({
    properties: fc.constant(properties),
    kind: fc.constant('line' as const),
    from: vector,
    to: vector,
  }),
  fc.record({
    properties: fc.constant(properties),
    kind: fc.constant('round' as const),
    facing,
    centre: vector,
    radius: fc.oneof(one(0, 1e-7, 2e-5), fc.double({ min: 0, max: 40, noNaN: true })),
    start: fc.double({ min: -7, max: 7, noNaN: true }),
    sweep: fc.oneof(one(2 * Math.PI, 1e-6), fc.double({ min: 0.01, max: 6, noNaN: true })),
  }),
  fc
    .record({
      corners: fc.array(fc.tuple(coordinate, coordinate, bulge), { maxLength: 6 }),
      comesBack: fc.boolean(),
      facing,
      closed: fc.boolean(),
      wide: one(0, 0, 0, 1),
    })
    .map(({ corners, comesBack, facing, closed, wide }): CurveEntity => {
      const all = comesBack ? [...corners, ...corners.slice(0, 1)] : corners;
      const vertices = Float64Array.from(all.flat());
      return { properties, kind: 'polyline', facing, vertices, closed, wide: wide === 1 };
    }),
);

const inReach = fc.double({ min: -1000, max: 1000, noNaN: true });
const matrix: fc.Arbitrary<Matrix> = fc
  .tuple(
    inReach,
    inReach,
    fc.double({ min: -4, max: 4, noNaN: true }),
    one(1, 1, 1, -1, 2.5),
    one(1, 1, 1, 0.5),
  )
  .map(([x, y, angle, sideways, upwards]) =>
    compose(translation(x, y), compose(rotation(angle), scaling(sideways, Math.abs(sideways) * upwards))),
  );

const stored = (keep: (store: CurveStore) => void): { store: CurveStore; paths: unknown[] } => {
  const store = new CurveStore();
  keep(store);
  const paths = Array.from(
    { length: store.count },
    (_, i): Path => ({
      segments: store.segmentsOf(i),
      closed: store.isClosed(i),
    }),
  );
  return { store, paths };
};

const ends = (store: CurveStore) =>
  Array.from({ length: store.count }, (_, i) => [store.startOf(i), store.endOf(i), store.boxOf(i)]);

describe('lines, circles, arcs and polylines of a DXF drawing', () => {
  it('come out the same to the last bit whether they are placed by numbers or looked at closely', () => {
    let placed = 0;
    let left = 0;
    fc.assert(
      fc.property(fc.array(entity, { minLength: 1, maxLength: 4 }), matrix, (entities, map) => {
        let isPlain: boolean[] = [];
        const quick = stored((store) => {
          const placer = new PlainPlacer(store);
          isPlain = entities.map((each) => placer.place(each, map));
        });
        placed += isPlain.filter((is) => is).length;
        left += isPlain.filter((is) => !is).length;
        const close = stored((store) => {
          entities.forEach((each, i) => {
            if (isPlain[i]) for (const path of placeEntity(each, map).paths) store.keepPath(path);
          });
        });
        expect(quick.paths).toEqual(close.paths);
        expect(ends(quick.store)).toEqual(ends(close.store));
        let box = emptyBox;
        for (let i = 0; i < close.store.count; i += 1) box = joinBoxes(box, close.store.boxOf(i));
        expect(quick.store.boxOfAll()).toEqual(box);
      }),
      { seed: 20261125, numRuns: 2000 },
    );
    // Both ways are taken.
    expect(placed).toBeGreaterThan(800);
    expect(left).toBeGreaterThan(500);
  });

  it('that are left out or refused are never kept by numbers', () => {
    fc.assert(
      fc.property(entity, matrix, (each, map) => {
        const { paths } = stored((store) => new PlainPlacer(store).place(each, map));
        if (paths.length === 0) return;
        let found: number | string;
        try {
          found = placeEntity(each, map).paths.length;
        } catch (error) {
          if (!(error instanceof PlacingFault)) throw error;
          found = error.found;
        }
        expect(found).toBe(1);
      }),
      { seed: 20261125, numRuns: 3000 },
    );
  });
});
