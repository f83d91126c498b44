import { bench, describe } from 'vitest';
import { describeDrawing } from '../../src/drawing/describe.js';
import { listDrawing } from '../../src/drawing/list-drawing.js';
import { assignRoles } from '../../src/drawing/roles.js';
import { readSvg } from '../../src/drawing/svg.js';
import { defaultRoles } from '../../src/job/job.js';
import { listText } from '../../src/report/list-text.js';
import { manyCurves, manySmallShapes } from './many-curves.js';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const small = bytes(manyCurves(200));
const large = bytes(manyCurves(2000));
const onePath = bytes(manyCurves(1, 20_000));
const drawing = readSvg(large, { path: 'large.svg' });

describe('reading SVG', () => {
  bench('200 paths, 1,600 cubics, 0.13 MB', () => {
    readSvg(small, { path: 'small.svg' });
  });
  bench('2,000 paths, 16,000 cubics, 1.3 MB', () => {
    readSvg(large, { path: 'large.svg' });
  });
  bench('one path of 20,000 cubics, 1.3 MB', () => {
    readSvg(onePath, { path: 'one-path.svg' });
  });
  bench('roles and rows of 2,000 paths', () => {
    describeDrawing(assignRoles(drawing, defaultRoles));
  });
});

// Ten times the shapes should take about ten times as long, whatever each of them takes.
describe('listing many small shapes', () => {
  const few = bytes(manySmallShapes(4000));
  const many = bytes(manySmallShapes(40_000));
  bench('4,000 shapes, 0.2 MB', () => {
    listText(listDrawing(few, 'few.svg'));
  });
  bench('40,000 shapes, 2 MB', () => {
    listText(listDrawing(many, 'many.svg'));
  });
});
