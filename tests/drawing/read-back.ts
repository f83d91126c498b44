/** Other readers for what the writers write: svg-pathdata with the W3C's arc conversion, and ezdxf. */
import { spawnSync } from 'node:child_process';
import { SaxesParser } from 'saxes';
import { SVGPathData } from 'svg-pathdata';
import type { Arc, Line } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';

export interface ReadBack {
  readonly layer: string;
  readonly id: string;
  readonly segments: readonly (Line | Arc)[];
}

/** Centre form of an SVG arc with equal radii: W3C SVG 1.1, appendix F.6.5, in the page's own axes (y down). */
const centreForm = (from: Point, to: Point, r: number, large: boolean, positive: boolean): Arc => {
  const half = { x: (from.x - to.x) / 2, y: (from.y - to.y) / 2 };
  const h2 = half.x * half.x + half.y * half.y;
  const radius = Math.max(r, Math.sqrt(h2));
  const factor = (large === positive ? -1 : 1) * Math.sqrt(Math.max(0, (radius * radius - h2) / h2));
  const centre = {
    x: factor * half.y + (from.x + to.x) / 2,
    y: -factor * half.x + (from.y + to.y) / 2,
  };
  const start = Math.atan2(from.y - centre.y, from.x - centre.x);
  let sweep = Math.atan2(to.y - centre.y, to.x - centre.x) - start;
  if (positive && sweep < 0) sweep += 2 * Math.PI;
  if (!positive && sweep > 0) sweep -= 2 * Math.PI;
  return { kind: 'arc', centre, radius, start, sweep };
};

export interface SvgPage {
  readonly width: number;
  readonly height: number;
  readonly viewBox: readonly number[];
  readonly paths: readonly ReadBack[];
}

/** Paths in user units of the page, y down. */
export const readSvgBack = (text: string): SvgPage => {
  let page = { width: Number.NaN, height: Number.NaN, viewBox: [] as number[] };
  const paths: ReadBack[] = [];
  const groups: string[] = [];
  const parser = new SaxesParser();
  const mm = (value: string): number => {
    if (!/^[0-9.]+mm$/.test(value)) throw new Error(`not a length in mm: ${value}`);
    return Number(value.slice(0, -2));
  };
  parser.on('error', (e) => {
    throw e;
  });
  parser.on('closetag', (tag) => {
    if (tag.name === 'g') groups.pop();
  });
  parser.on('opentag', (tag) => {
    const a = tag.attributes as Record<string, string>;
    if (tag.name === 'svg') {
      page = { width: mm(a.width!), height: mm(a.height!), viewBox: a.viewBox!.split(' ').map(Number) };
    } else if (tag.name === 'g') {
      groups.push(a.id!);
    } else if (tag.name === 'path') {
      paths.push({ layer: groups.at(-1) ?? '', id: a.id!, segments: ringOf(a.d!) });
    } else if (tag.name !== 'title' || paths.length === 0) {
      // A path's name that is no id is its title.
      throw new Error(`unexpected element ${tag.name}`);
    }
  });
  parser.write(text).close();
  return { ...page, paths };
};

const ringOf = (d: string): (Line | Arc)[] => {
  const segments: (Line | Arc)[] = [];
  let start: Point = { x: Number.NaN, y: Number.NaN };
  let at = start;
  for (const c of new SVGPathData(d).commands) {
    if (c.type === SVGPathData.MOVE_TO) {
      start = { x: c.x, y: c.y };
      at = start;
    } else if (c.type === SVGPathData.LINE_TO) {
      segments.push({ kind: 'line', from: at, to: { x: c.x, y: c.y } });
      at = { x: c.x, y: c.y };
    } else if (c.type === SVGPathData.ARC) {
      const to = { x: c.x, y: c.y };
      segments.push(centreForm(at, to, c.rX, c.lArcFlag === 1, c.sweepFlag === 1));
      at = to;
    } else if (c.type === SVGPathData.CLOSE_PATH) {
      if (at.x !== start.x || at.y !== start.y) segments.push({ kind: 'line', from: at, to: start });
      at = start;
    } else {
      throw new Error('unexpected path command');
    }
  }
  return segments;
};

const script = `
import json, math, sys
import ezdxf
from ezdxf.math import bulge_to_arc
doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
paths = []
for e in doc.modelspace():
    if e.dxftype() != 'LWPOLYLINE':
        raise SystemExit('unexpected entity ' + e.dxftype())
    points = [tuple(p) for p in e.get_points('xyb')]
    segments = []
    for i, (x, y, b) in enumerate(points):
        to = points[(i + 1) % len(points)]
        if i == len(points) - 1 and not e.closed:
            break
        if b == 0:
            segments.append(['line', x, y, to[0], to[1]])
        else:
            centre, a0, a1, r = bulge_to_arc((x, y), (to[0], to[1]), b)
            sweep = (a1 - a0) % (2 * math.pi)
            segments.append(['arc', centre[0], centre[1], r, a0 if b > 0 else a1, sweep if b > 0 else -sweep])
    paths.append({'layer': e.dxf.layer, 'closed': bool(e.closed), 'segments': segments})
print(json.dumps({
    'version': doc.dxfversion,
    'units': doc.units,
    'faults': [f.message for f in list(audit.errors) + list(audit.fixes)],
    'layers': [l.dxf.name for l in doc.layers],
    'extents': [list(doc.header['$EXTMIN']), list(doc.header['$EXTMAX'])],
    'paths': paths,
}))
`;

export interface DxfReadBack {
  readonly version: string;
  readonly units: number;
  /** What the audit complained about or mended. */
  readonly faults: readonly string[];
  readonly layers: readonly string[];
  readonly extents: readonly [readonly number[], readonly number[]];
  readonly paths: readonly (ReadBack & { readonly closed: boolean })[];
}

/** The Python that has ezdxf (Debian's package python3-ezdxf), or the reason why none is used. */
export const findEzdxf = (): { python: string } | { missing: string } => {
  for (const python of ['/usr/bin/python3', 'python3']) {
    if (spawnSync(python, ['-c', 'import ezdxf']).status === 0) return { python };
  }
  return { missing: 'no python3 with ezdxf here (Debian: apt-get install python3-ezdxf)' };
};

export const readDxfBack = (python: string, file: string): DxfReadBack => {
  const run = spawnSync(python, ['-c', script, file], { encoding: 'utf8', maxBuffer: 1 << 28 });
  if (run.status !== 0) throw new Error(`ezdxf: ${run.stdout}${run.stderr}`);
  const read = JSON.parse(run.stdout);
  return {
    ...read,
    paths: read.paths.map((p: { layer: string; closed: boolean; segments: [string, ...number[]][] }) => ({
      ...p,
      id: '',
      segments: p.segments.map(([kind, a, b, c, d, e]) =>
        kind === 'line'
          ? { kind, from: { x: a, y: b }, to: { x: c, y: d } }
          : { kind, centre: { x: a, y: b }, radius: c, start: d, sweep: e },
      ),
    })),
  };
};
