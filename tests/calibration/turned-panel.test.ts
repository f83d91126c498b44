import { expect, test } from 'vitest';
import { calibrateBed } from '../../src/calibration/parts/bed.js';
import { updateProfile } from '../../src/calibration/profile.js';
import { apply } from '../../src/geometry/affine.js';
import { distance, type Point } from '../../src/geometry/point.js';
import { readProfileText } from '../../src/job/read/read-machine.js';
import { displayToTrue, trueToMachineMatrix, trueToPointer } from '../../src/marks/frames.js';
import { cutJob, loadJob } from '../../src/reseat.js';
import { lengthsOn } from './bed-rectangles.js';

/** A bed whose axes differ by 0.1 %: what its display calls 1 mm is 1.001 mm along x. */
const bed = { scale: [1.001, 1], skew: 0 } as const;
const toTrue = displayToTrue({ axes: 'y-up', bedMap: bed });
const toDisplay = trueToPointer({ axes: 'y-up', bedMap: bed });

const marks = { A: [10, 10], B: [590, 10], C: [590, 90], D: [10, 90] } as const;
/** Squares of 20 mm at either end of a panel of 600 x 100. */
const corners = { left: { x: 40, y: 40 }, right: { x: 540, y: 40 } } as const;
const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="100mm" viewBox="0 0 600 100">
  <g id="openings">
    <rect id="left" x="40" y="40" width="20" height="20"/>
    <rect id="right" x="540" y="40" width="20" height="20"/>
  </g>
  <rect id="outline" x="0" y="0" width="600" height="100"/>
</svg>`;

/** Put back turned by 90 degrees. */
const turned = ({ x, y }: Point): Point => ({ x: 900 - y, y: 150 + x });

const clearance = 0.5;

/**
 * Pierces the panel on the machine, turns it, reads its marks and cuts it again, all with one profile; returns how far
 * the corners of the second cut are from where they belong, mm.
 */
const worstMiss = (profile: string): number => {
  const sent = trueToMachineMatrix(readProfileText('bench.yaml', profile));
  const lies = (design: Point): Point => turned(toTrue(apply(sent, design)));
  const readings = Object.entries(marks).map(([name, [x, y]]) => {
    // The pointer stands over the true place of the mark and the display shows what it shows.
    const shown = toDisplay(lies({ x, y }));
    return `  ${name}: [${shown.x}, ${shown.y}]`;
  });
  const design = Object.entries(marks).map(([name, [x, y]]) => `  ${name}: [${x}, ${y}]`);
  const text = [
    'drawing: panel.svg',
    'machine: bench.yaml',
    'marks:',
    ...design,
    'readings:',
    ...readings,
    `cut: {clearance: ${clearance}, corners: mitre}`,
  ].join('\n');
  const files: Readonly<Record<string, string>> = { 'panel.svg': drawing, 'bench.yaml': profile };
  const read = (path: string) => {
    const found = files[path];
    return found === undefined ? undefined : new TextEncoder().encode(found);
  };
  const done = cutJob(loadJob({ path: 'job.yaml', text }, { read }));
  if (!done.ok) throw new Error(done.failure.reason);
  const misses = Object.entries(corners).map(([id, { x, y }]) => {
    // The set-back corners, about what was truly pierced.
    const wanted = [-clearance, clearance].flatMap((dx) =>
      [-clearance, clearance].map((dy) => {
        const pierced = lies({ x: x + (dx > 0 ? 20 : 0), y: y + (dy > 0 ? 20 : 0) });
        return { x: pierced.x - dy, y: pierced.y + dx };
      }),
    );
    const path = done.file.paths.find((p) => p.id === id)!;
    // What is sent to the display is burnt at the true place that belongs to it.
    const burnt = path.segments.map((s) => toTrue(s.kind === 'line' ? s.from : s.centre));
    expect(burnt).toHaveLength(4);
    return Math.max(...wanted.map((p) => Math.min(...burnt.map((q) => distance(p, q)))));
  });
  return Math.max(...misses);
};

test('A panel turned by 90 degrees on a bed 0.1 % out is cut right with the measured map, and wrong without', () => {
  const outcome = calibrateBed(lengthsOn(bed));
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  const { text } = updateProfile(
    { path: 'bench.yaml', text: 'axes: y-up\n' },
    outcome.bed.proposal,
    '2026-11-25',
  );
  // The map in the profile is written to 1e-6: 0.0006 mm over 600 mm.
  expect(worstMiss(text)).toBeLessThan(0.001);
  // Without it the part was pierced 0.6 mm longer than drawn, and lies where the display counts true: a rigid fit
  // leaves half of that at either end, 0.26 mm at the outer corners of the openings.
  expect(worstMiss('axes: y-up\n')).toBeGreaterThan(0.25);
  expect(worstMiss('axes: y-up\n')).toBeLessThan(0.3);
});
