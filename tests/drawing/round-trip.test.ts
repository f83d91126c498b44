/** Drawings of every kind of curve, read, written by our writers and read again. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Drawing, Role } from '../../src/drawing/model/drawing.js';
import { readDrawing } from '../../src/drawing/read.js';
import { assignRoles } from '../../src/drawing/roles/roles.js';
import { type CutFile, isEdge } from '../../src/drawing/write/cut-file.js';
import { writeDxf } from '../../src/drawing/write/write-dxf.js';
import { runsOf } from '../../src/drawing/write/write-dxf-curves.js';
import { writeSvg } from '../../src/drawing/write/write-svg.js';
import { type Matrix, translation } from '../../src/geometry/affine.js';
import { type Path, positionAt, type Segment, transformPath } from '../../src/geometry/curve.js';
import { distance, type Point } from '../../src/geometry/point.js';
import type { Roles } from '../../src/job/job.js';
import { arc, at, bytesOf, circle, dxfTags, line, lwpolyline, type Tag, textOf } from './dxf-text.js';
import { findEzdxf } from './read-back.js';

const ezdxf = findEzdxf();
const seed = 20261125;
const layers = ['leaves', 'Löcher innen', 'score lines', 'marks', 'outline'];
const roles: Roles = {
  marks: [{ text: 'marks' }],
  openings: [{ text: 'leaves' }, { text: 'Löcher innen' }],
  outline: [{ text: 'outline' }],
  stated: { marks: true, openings: true, outline: true },
};

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const point = fc.record({ x: number(60, 540), y: number(60, 340) });
const size = number(2, 50);
const bulge = fc.oneof(fc.constant(0), number(0.001, 2), number(-2, -0.001), number(-1e-6, 1e-6));
const angle = number(0, 360);

/** Elements of an SVG drawing, without id; y down. */
const svgElement: fc.Arbitrary<string> = fc.oneof(
  fc.tuple(point, point).map(([a, b]) => `<line x1="${a.x}" y1="${a.y}" x2="${b.x + 1}" y2="${b.y}"`),
  fc.tuple(point, size).map(([c, r]) => `<circle cx="${c.x}" cy="${c.y}" r="${r}"`),
  fc
    .tuple(point, size, size, angle)
    .map(
      ([c, rx, ry, lean]) =>
        `<ellipse cx="${c.x}" cy="${c.y}" rx="${rx}" ry="${ry}" transform="rotate(${lean} ${c.x} ${c.y})"`,
    ),
  fc
    .tuple(point, size, size, number(0, 9))
    .map(([p, w, h, r]) => `<rect x="${p.x}" y="${p.y}" width="${w}" height="${h}" rx="${r}"`),
  fc
    .tuple(point, size, size, angle, fc.nat(1), fc.nat(1), point)
    .map(
      ([a, rx, ry, lean, big, flag, b]) =>
        `<path d="M${a.x} ${a.y}A${rx} ${ry} ${lean} ${big} ${flag} ${b.x + 1} ${b.y}"`,
    ),
  fc
    .tuple(fc.array(fc.tuple(point, point, point), { minLength: 1, maxLength: 4 }), point, fc.boolean())
    .map(([cubics, start, closed]) => {
      const steps = cubics.map((three) => `C${three.map((p) => `${p.x} ${p.y}`).join(' ')}`).join('');
      return `<path d="M${start.x} ${start.y}${steps}${closed ? `C${start.x + 9} ${start.y} ${start.x} ${start.y + 9} ${start.x} ${start.y}z` : ''}"`;
    }),
  fc
    .tuple(point, point, point, point, size, fc.boolean())
    .map(
      ([a, b, c, d, r, closed]) =>
        `<path d="M${a.x} ${a.y}L${b.x + 1} ${b.y}A${r} ${1.5 * r} 20 0 1 ${c.x} ${c.y + 1}Q${d.x} ${d.y} ${a.x + 1} ${b.y}${closed ? 'z' : ''}"`,
    ),
  fc
    .array(point, { minLength: 3, maxLength: 6 })
    .map((points) => `<polygon points="${points.map((p, i) => `${p.x + i} ${p.y}`).join(' ')}"`),
);

const svgDrawing = fc.sample(svgElement, { seed, numRuns: 240 });

/** Every other layer by its id, the others by a label, as drawing programs write them. */
const svgText = (): string => {
  const groups = layers.map((layer, i) => {
    const name = / /.test(layer) ? `data-name="${layer}"` : `id="${layer}"`;
    const inside = svgDrawing.filter((_, k) => k % layers.length === i);
    // Names with an umlaut, with blanks, and none.
    const ids = inside.map(
      (element, k) => `${element} ${['', `id="Blatt-ä${i}-${k}"`, `id="vein ${i} no ${k}"`][k % 3]}/>`,
    );
    return `<g ${name}>${ids.join('')}</g>`;
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="400mm" viewBox="0 0 600 400">${groups.join('')}</svg>`;
};

const dxfEntity: fc.Arbitrary<(layer: Tag) => Tag[]> = fc.oneof(
  fc.tuple(point, point).map(
    ([a, b]) =>
      (layer: Tag) =>
        line(a.x, a.y, b.x + 1, b.y, layer),
  ),
  fc.tuple(point, size).map(
    ([c, r]) =>
      (layer: Tag) =>
        circle(c.x, c.y, r, layer),
  ),
  fc.tuple(point, size, angle, number(5, 350)).map(
    ([c, r, from, turn]) =>
      (layer: Tag) =>
        arc(c.x, c.y, r, from, from + turn, layer),
  ),
  fc
    .tuple(point, size, angle, number(0.05, 1), number(0, 6), number(0.1, 6.28))
    .map(([c, r, lean, ratio, from, turn]) => (layer: Tag): Tag[] => {
      const a = (lean * Math.PI) / 180;
      return [
        [0, 'ELLIPSE'],
        layer,
        ...at(c.x, c.y),
        ...at(r * Math.cos(a), r * Math.sin(a), 11),
        [40, ratio],
        [41, from],
        [42, from + turn],
      ];
    }),
  fc
    .tuple(fc.array(point, { minLength: 4, maxLength: 9 }), fc.constantFrom(2, 3))
    .map(([points, degree]) => (layer: Tag): Tag[] => {
      const inner = points.length - degree - 1;
      const knots = [
        ...Array(degree + 1).fill(0),
        ...Array.from({ length: inner }, (_, i) => i + 1),
        ...Array(degree + 1).fill(inner + 1),
      ];
      return [
        [0, 'SPLINE'],
        layer,
        [70, 8],
        [71, degree],
        [72, knots.length],
        [73, points.length],
        ...knots.map((knot): Tag => [40, knot]),
        ...points.flatMap((p, i) => at(p.x + i, p.y)),
      ];
    }),
  fc.tuple(fc.array(fc.tuple(point, bulge), { minLength: 2, maxLength: 6 }), fc.boolean()).map(
    ([vertices, closed]) =>
      (layer: Tag) =>
        lwpolyline(
          closed,
          vertices.map(([p, bulge], i) => [p.x + i, p.y, bulge] as const),
          layer,
        ),
  ),
);

const dxfText = (): string =>
  textOf(
    dxfTags({
      entities: fc
        .sample(dxfEntity, { seed, numRuns: 240 })
        .map((entity, i) => entity([8, layers[i % layers.length]!])),
    }),
  );

/**
 * Away from the corner. A page begins at the lowest coordinates where they are negative, and what is read from it counts from
 * there: an ellipse of many metres, as radii too small for their chord give, would move all the rest.
 */
const awayFromCorner = ({ box }: Drawing): Matrix =>
  translation(Math.ceil(100 - box.minX), Math.ceil(100 - box.minY));

const asCutFile = ({ shapes }: Drawing, place: Matrix): CutFile<Segment> => ({
  axes: 'y-up',
  paths: shapes.flatMap(({ paths, layers: names, id }) =>
    paths.map((path) => ({
      segments: transformPath(place, path).segments,
      open: !path.closed,
      layer: names[0]!,
      id,
    })),
  ),
});

const samples = [0, 0.13, 0.37, 0.5, 0.71, 0.9, 1];

/**
 * The distance of a point from a path. Beside a cusp the nearest point may hide between two samples that both lie farther
 * away than those next to them: what looks far is looked at again, more closely.
 */
const distanceFrom = (path: Path, p: Point): number => {
  const found = sampledDistance(path, p, 48);
  return found < 1e-6 ? found : Math.min(found, sampledDistance(path, p, 3000));
};

/** By the nearest sample and then by narrowing down: never less than the distance. */
const sampledDistance = (path: Path, p: Point, steps: number): number => {
  let best = Number.POSITIVE_INFINITY;
  for (const s of path.segments) {
    const away = (t: number): number => distance(positionAt(s, t), p);
    const sampled = Array.from({ length: steps + 1 }, (_, i) => away(i / steps));
    sampled.forEach((here, i) => {
      if (here > (sampled[i - 1] ?? here) || here > (sampled[i + 1] ?? here)) return;
      let [low, high] = [Math.max(0, i - 1) / steps, Math.min(steps, i + 1) / steps];
      for (let k = 0; k < 60; k += 1) {
        const [one, other] = [low + (high - low) / 3, high - (high - low) / 3];
        if (away(one) < away(other)) high = other;
        else low = one;
      }
      best = Math.min(best, here, away((low + high) / 2));
    });
  }
  return best;
};

const apart = (a: Path, b: Path): number => {
  const from = (one: Path, other: Path): number =>
    Math.max(...one.segments.flatMap((s) => samples.map((t) => distanceFrom(other, positionAt(s, t)))));
  return Math.max(from(a, b), from(b, a));
};

const rolesOf = (drawing: Drawing): (Role | undefined)[] => {
  const assigned = assignRoles(drawing, roles);
  return drawing.shapes.map(({ id }) => assigned.roles.get(id));
};

describe.each([
  ['svg', svgText],
  ['dxf', dxfText],
] as const)('a drawing read from %s', (source, text) => {
  const drawing = readDrawing(bytesOf(text()), { path: `fern.${source}` });
  const place = awayFromCorner(drawing);
  const paths = drawing.shapes.flatMap((shape) => shape.paths.map((path) => ({ shape, path })));

  it('holds curves of every kind, open and closed', () => {
    const kinds = new Set(paths.flatMap(({ path }) => path.segments.map((s) => `${s.kind} ${path.closed}`)));
    expect(kinds.size).toBeGreaterThanOrEqual(6);
    expect(drawing.shapes.length).toBeGreaterThan(200);
  });

  it.each(['svg', 'dxf'] as const)('and written as %s is read again as the same, to 1e-6 mm', (format) => {
    const file = asCutFile(drawing, place);
    const written = format === 'svg' ? writeSvg(file) : writeDxf(file);
    const again = readDrawing(bytesOf(written), { path: `again.${format}` });
    expect(again.leftOut).toEqual([]);
    const found = again.shapes.flatMap((shape) => shape.paths.map((path) => ({ shape, path })));
    let next = 0;
    let worst = 0;
    const before = rolesOf(drawing);
    const after = rolesOf(again);
    for (const { shape, path } of paths) {
      // DXF has no entity for a path of several kinds of curves: each run of one kind comes back by itself.
      const split = format === 'dxf' && !path.segments.every(isEdge);
      const count = split ? runsOf(path.segments).length : 1;
      const parts = found.slice(next, next + count);
      next += count;
      if (count === 1) expect(parts[0]!.path.closed).toBe(path.closed);
      worst = Math.max(
        worst,
        apart(transformPath(place, path), {
          segments: parts.flatMap((part) => part.path.segments),
          closed: false,
        }),
      );
      for (const part of parts) {
        expect(part.shape.layers).toContain(shape.layers[0]);
        if (format === 'svg') expect([part.shape.id, ...(part.shape.labels ?? [])]).toContain(shape.id);
        expect(after[again.shapes.indexOf(part.shape)]).toBe(before[drawing.shapes.indexOf(shape)]);
      }
    }
    expect(next).toBe(found.length);
    expect(worst).toBeLessThan(1e-6);
    expect(worst).toBeGreaterThan(0);
    expect(new Set(before)).toEqual(new Set(['mark', 'opening', 'outline', 'unused']));
  });

  it('and written as DXF passes the audit of another reader', (context) => {
    if ('missing' in ezdxf) {
      console.warn(`curves in DXF are not held against another reader: ${ezdxf.missing}`);
      context.skip(ezdxf.missing);
      return;
    }
    const folder = mkdtempSync(join(tmpdir(), 'reseat-audit-'));
    const path = join(folder, 'again.dxf');
    writeFileSync(path, writeDxf(asCutFile(drawing, place)));
    const script =
      'import ezdxf, sys\ndoc = ezdxf.readfile(sys.argv[1])\naudit = doc.audit()\nprint(len(doc.modelspace()), [f.message for f in list(audit.errors) + list(audit.fixes)])';
    const run = spawnSync(ezdxf.python, ['-c', script, path], { encoding: 'utf8' });
    rmSync(folder, { recursive: true });
    expect(run.stderr).toBe('');
    const entities = paths.map((one) =>
      one.path.segments.every(isEdge) ? 1 : runsOf(one.path.segments).length,
    );
    expect(run.stdout.trim()).toBe(`${entities.reduce((sum, n) => sum + n, 0)} []`);
  });
});
