import { bench, describe } from 'vitest';
import { describeDrawing } from '../../src/drawing/describe.js';
import { listDrawing } from '../../src/drawing/list-drawing.js';
import { assignRoles } from '../../src/drawing/roles/roles.js';
import { readSvg } from '../../src/drawing/svg/svg.js';
import { defaultRoles } from '../../src/job/job.js';
import { listText } from '../../src/report/text/list-text.js';
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

/** Lines of random length on a hundred tracks: hardly one of them lies on no other. */
const linesOnLines = (count: number): string => {
  let state = 5;
  const random = (): number => {
    state = (1103515245 * state + 12345) % 2147483648;
    return state / 2147483648;
  };
  const lines = Array.from({ length: count }, () => {
    const y = 5 + 5 * Math.floor(100 * random());
    const x = 900 * random();
    return `<line x1="${x}" y1="${y}" x2="${x + 20 * random()}" y2="${y}" stroke="black"/>`;
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="600mm" viewBox="0 0 1000 600">${lines.join('')}</svg>`;
};

// Ten times the lines should take little more than ten times as long.
describe('listing lines that lie on one another', () => {
  const few = bytes(linesOnLines(3000));
  const many = bytes(linesOnLines(30_000));
  bench('3,000 lines', () => {
    listText(listDrawing(few, 'few.svg'));
  });
  bench('30,000 lines', () => {
    listText(listDrawing(many, 'many.svg'));
  });
});
