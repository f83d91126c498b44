import { describe, expect, it } from 'vitest';
import { type ListedDrawing, listDrawing } from '../../src/drawing/list-drawing.js';
import { listPicture } from '../../src/report/picture/list/list-picture.js';
import { listText } from '../../src/report/text/list-text.js';
import { loadJob } from '../../src/reseat.js';
import { bytesOf, page } from './svg-text.js';

type Draw = (x: number, y: number, i: number) => string;

const corners = [
  [10, 10],
  [90, 10],
  [90, 90],
  [10, 90],
] as const;
const panel =
  '<rect id="edge" x="2" y="2" width="96" height="96"/><circle id="moon" cx="50" cy="50" r="20"/><rect id="bar" x="75" y="30" width="8" height="40"/>';
const cross: Draw = (x, y, i) => `<path id="c${i}" d="M${x - 3} ${y}h6M${x} ${y - 3}v6"/>`;
const twoLines: Draw = (x, y, i) =>
  `<line id="h${i}" x1="${x - 3}" y1="${y}" x2="${x + 3}" y2="${y}"/><line id="v${i}" x1="${x}" y1="${y - 3}" x2="${x}" y2="${y + 3}"/>`;
const saltire: Draw = (x, y, i) => `<path id="c${i}" d="M${x - 3} ${y - 3}l6 6m0-6l-6 6"/>`;
const angle: Draw = (x, y, i) => `<path id="c${i}" d="M${x - 3} ${y}h6M${x - 3} ${y}v6"/>`;
const tee: Draw = (x, y, i) => `<path id="c${i}" d="M${x - 3} ${y}h6M${x} ${y}v6"/>`;

const drawn = (draw: Draw, places: readonly (readonly [number, number])[] = corners): string =>
  page(panel + places.map(([x, y], i) => draw(x, y, i)).join(''));
const listed = (text: string): ListedDrawing => listDrawing(bytesOf(text), 'screen.svg');

describe('Small equal crosses without a role', () => {
  it('are proposed as marks, whichever way they are drawn, with a line that states the other roles too', () => {
    for (const draw of [cross, saltire]) {
      const { proposed } = listed(drawn(draw));
      expect(proposed?.line).toBe('roles: {marks: [c0, c1, c2, c3], openings: [moon, bar], outline: edge}');
    }
    const { proposed } = listed(drawn(twoLines));
    expect(proposed?.crosses).toHaveLength(4);
    expect(proposed?.ids).toEqual(['h0', 'v0', 'h1', 'v1', 'h2', 'v2', 'h3', 'v3']);
  });

  it('make a job that works once the printed lines are put into it', () => {
    const text = listText(listed(drawn(cross).replaceAll('id="c', 'id="path-')));
    const lines = text.slice(text.indexOf('drawing: '));
    let at = 0;
    const figures = ['10, 90', '90, 90', '90, 10', '10, 10'];
    const job = lines.replace(/\[x, y\]/g, () => `[${figures[at++]}]`);
    const loaded = loadJob(
      { path: 'screen.yaml', text: job },
      { read: () => bytesOf(drawn(cross).replaceAll('id="c', 'id="path-')) },
    );
    expect(loaded.observations.map(({ mark }) => mark)).toEqual(['A', 'B', 'C', 'D']);
    expect(loaded.roles.openings.map(({ id }) => id)).toEqual(['moon', 'bar']);
  });

  it('are taken for nothing by a job: what is cut as drawn may be crosses', () => {
    const { roles, marks } = listed(drawn(cross));
    expect(roles.marks).toEqual([]);
    expect(marks).toEqual([]);
    expect(['c0', 'c1', 'c2', 'c3'].map((id) => roles.roles.get(id))).toEqual(Array(4).fill('unused'));
  });

  it('stand in the picture with the sign of a mark that is not read, and their line beside it', () => {
    const svg = listPicture(listed(drawn(cross)));
    expect(svg.match(/data-part="mark"[^>]*stroke-dasharray/g)).toHaveLength(5);
    expect(svg).toContain('4 equal crosses, perhaps marks');
    expect(svg).toContain('roles: {marks: [c0,');
  });

  it('where roles are in doubt, are said beside the readings of the drawing', () => {
    const text = drawn(cross).replace(
      '<circle id="moon"',
      '<circle id="over" cx="98" cy="60" r="5"/><circle id="moon"',
    );
    const doubtful = listed(text);
    expect(doubtful.roles.doubt).toBeDefined();
    expect(doubtful.proposed?.line).toBeUndefined();
    expect(listText(doubtful)).toContain('marks: [c0, c1, c2, c3]');
  });

  it('are not proposed where they are angles, of several sizes, too large, too few, or beside marks that are named', () => {
    const unequal: Draw = (x, y, i) =>
      `<path id="c${i}" d="M${x - 3 - i} ${y}h${6 + 2 * i}M${x} ${y - 3}v6"/>`;
    const large: Draw = (x, y, i) => `<path id="c${i}" d="M${x - 11} ${y}h22M${x} ${y - 11}v22"/>`;
    for (const draw of [angle, tee, unequal, large]) expect(listed(drawn(draw)).proposed).toBeUndefined();
    expect(listed(drawn(cross, corners.slice(0, 2))).proposed).toBeUndefined();
    const marked = drawn(cross).replace(
      '<path id="c0"',
      '<g id="marks"><circle cx="50" cy="10" r="1"/></g><path id="c0"',
    );
    expect(listed(marked).proposed).toBeUndefined();
  });
});
