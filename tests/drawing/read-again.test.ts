import { describe, expect, it } from 'vitest';
import { listJob } from '../../src/internal.js';

/** Two crosses of lines in a layer, and a triangle of three lines whose ends lie 0.03 mm apart. */
const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">
  <path id="edge" d="M1 1H99V99H1Z"/>
  <g id="lines" stroke="#000" fill="none"><path d="M20 20L40 20"/><path d="M40.03 20L30 40"/><path d="M30 40.03L20 20.03"/></g>
</svg>`;

/** Files that stay the same objects, as those of a page do. */
const bytes = new TextEncoder().encode(svg);
const files = { read: () => bytes };

const listed = (more = '') => {
  const { drawing, roles, rows } = listJob({ path: 'job.yaml', text: `drawing: a.svg\n${more}` }, files);
  return { width: drawing.box.maxX - drawing.box.minX, count: rows.length, openings: roles.openings.length };
};

describe('a drawing that is asked for again from the same bytes', () => {
  it('follows what the job says of it, and comes back as it was', () => {
    const first = listed('roles: {outline: edge, openings: lines}\n');
    const joined = listed('roles: {outline: edge, openings: lines}\njoin: 0.05\n');
    expect(first.count).toBe(4);
    expect(joined.count).toBe(2);
    expect(joined.openings).toBe(1);
    expect(listed('roles: {outline: edge, openings: lines}\n')).toEqual(first);
    expect(listed('roles: {outline: edge, openings: lines}\nunits: in\n').width).toBeGreaterThan(0);
    expect(listed('roles: {outline: edge, marks: lines}\njoin: 0.05\n').openings).toBe(0);
    expect(listed('roles: {outline: edge, openings: lines}\njoin: 0.05\n')).toEqual(joined);
  });
});
