/** The same scan traced by potrace 1.16 (Debian package, P. Selinger), a general tracing tool, given the picture cut at its best level. */
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readDrawing } from '../../src/drawing/read.js';
import { positionAt } from '../../src/geometry/curve.js';
import { placesAlong, scanPicture, usualSmallest } from '../../src/scan/scan.js';
import { circleLoop, type Loop, polygonLoop, polyline, rendered, slotLoop, turnedLoop } from './rendered.js';

const installed = spawnSync('potrace', ['--version']).status === 0;
const density = 23.622;
const size = { width: 40, height: 30 };
const star = polygonLoop(
  ...Array.from({ length: 10 }, (_, i): [number, number] => {
    const r = i % 2 === 0 ? 6 : 3;
    return [31 + r * Math.cos((i * Math.PI) / 5), 21 + r * Math.sin((i * Math.PI) / 5)];
  }),
);
const leaf: Loop = {
  corners: [
    [3, 22, 0.5],
    [17, 23, 0.35],
  ],
};
const loops = [
  circleLoop(7, 8, 5),
  slotLoop(16, 4, 25, 9, 1.6),
  star,
  leaf,
  polygonLoop([28, 3], [38, 4], [36, 12]),
].map((loop) => turnedLoop(loop, 0.3, 20, 15));
const truth = loops.map((loop) => polyline(loop));
const drawnSides = loops.reduce((sum, { corners }) => sum + corners.length, 0);
const trueCorners = loops.slice(2).flatMap(({ corners }) => corners.map(([x, y]) => [x, y] as const));

const fromTruth = (x: number, y: number): number => {
  let best = Number.POSITIVE_INFINITY;
  for (const loop of truth) {
    for (let i = 0; i < loop.length; i += 1) {
      const [ax, ay] = loop[i]!;
      const [bx, by] = loop[(i + 1) % loop.length]!;
      const [dx, dy] = [bx - ax, by - ay];
      const t = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)));
      best = Math.min(best, (x - ax - t * dx) ** 2 + (y - ay - t * dy) ** 2);
    }
  }
  return Math.sqrt(best);
};

interface Figures {
  readonly rms: number;
  readonly worst: number;
  readonly corner: number;
  readonly segments: number;
}

const figures = (
  places: readonly { x: number; y: number }[],
  ends: readonly { x: number; y: number }[],
  count: number,
): Figures => {
  const away = places.map(({ x, y }) => fromTruth(x, y));
  return {
    rms: Math.sqrt(away.reduce((sum, d) => sum + d * d, 0) / away.length),
    worst: Math.max(...away),
    corner: Math.max(
      ...trueCorners.map(([x, y]) => Math.min(...ends.map((e) => Math.hypot(e.x - x, e.y - y)))),
    ),
    segments: count / drawnSides,
  };
};

describe.skipIf(!installed)('beside a general tracing tool', () => {
  it('edges, corners and the number of segments are far nearer to what was drawn', () => {
    const picture = rendered(loops, { ...size, density });
    const scan = scanPicture(
      picture,
      { x: 1 / density, y: 1 / density },
      { smallest: usualSmallest },
      'a.png',
    );
    const places = scan.edges.flatMap((edge) => placesAlong(scan, edge, 0.15));
    const ends = scan.edges.flatMap(({ outline }) =>
      outline.kind === 'circle'
        ? []
        : [...outline.chain.x].map((x, i) => ({ x: x * scan.unit, y: outline.chain.y[i]! * scan.unit })),
    );
    // A circle is drawn as two half circles here.
    const count = scan.edges.reduce(
      (sum, { outline }) => sum + (outline.kind === 'circle' ? 2 : outline.chain.x.length),
      0,
    );
    const ours = figures(places, ends, count);
    const theirs = traced(picture);
    expect(ours.rms).toBeLessThan(0.001);
    expect(ours.worst).toBeLessThan(0.02);
    expect(ours.corner).toBeLessThan(0.02);
    expect(ours.segments).toBeLessThanOrEqual(1.1);
    expect(ours.rms * 5).toBeLessThan(theirs.rms);
    expect(ours.worst * 2).toBeLessThan(theirs.worst);
    expect(ours.corner * 3).toBeLessThan(theirs.corner);
    expect(ours.segments * 1.5).toBeLessThan(theirs.segments);
  });
});

/** Half-way between the levels, which no light falls off here far enough to spoil. */
const traced = ({
  width,
  height,
  levels,
}: {
  width: number;
  height: number;
  levels: Uint8Array | Uint16Array;
}): Figures => {
  const folder = mkdtempSync(join(tmpdir(), 'trace-'));
  try {
    const row = Math.ceil(width / 8);
    const bits = Buffer.alloc(row * height);
    for (let y = 0; y < height; y += 1)
      for (let x = 0; x < width; x += 1)
        if (levels[y * width + x]! < 118) bits[y * row + (x >> 3)]! |= 128 >> (x & 7);
    writeFileSync(join(folder, 'a.pbm'), Buffer.concat([Buffer.from(`P4\n${width} ${height}\n`), bits]));
    execFileSync('potrace', [
      '-s',
      '-t',
      '100',
      '-r',
      '72',
      '-o',
      join(folder, 'a.svg'),
      join(folder, 'a.pbm'),
    ]);
    // One point of its page is one pixel.
    const svg = readFileSync(join(folder, 'a.svg'), 'utf8').replace(
      /width="([\d.]+)pt" height="([\d.]+)pt"/,
      'width="$1mm" height="$2mm"',
    );
    const { shapes } = readDrawing(Buffer.from(svg), { path: 'a.svg' });
    const segments = shapes.flatMap(({ paths }) => paths.flatMap((path) => path.segments));
    const places = segments.flatMap((s) =>
      Array.from({ length: 20 }, (_, i) => {
        const p = positionAt(s, i / 20);
        return { x: p.x / density, y: p.y / density };
      }),
    );
    return figures(places, places, segments.length);
  } finally {
    rmSync(folder, { recursive: true });
  }
};
