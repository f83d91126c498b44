import { describe, expect, it } from 'vitest';
import { listDrawing } from '../../src/drawing/list-drawing.js';
import { readDrawing } from '../../src/drawing/read.js';
import { nestedOpenings } from '../../src/drawing/roles/nested-openings.js';
import { assignRoles } from '../../src/drawing/roles/roles.js';
import { loadJob } from '../../src/internal.js';
import { readJob } from '../../src/job/read/read-job.js';

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

const svg = (openings: string): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">
  <g id="marks"><circle id="A" cx="5" cy="5" r="1"/><circle id="B" cx="195" cy="5" r="1"/></g>
  <g id="openings">${openings}</g><rect id="outline" width="200" height="100"/></svg>`;

const moon = '<circle id="moon" cx="60" cy="50" r="20"/>';
const sun = '<circle id="sun" cx="62" cy="50" r="8"/>';

const jobOf = (roles: string, cut = '{clearance: 0.5}'): string =>
  `drawing: d.svg\nroles: ${roles}\nreadings: {A: [5, 95], B: [195, 95]}\ncut: ${cut}\n`;

const said = (openings: string, roles = '{}'): string[] => {
  const drawing = readDrawing(bytesOf(svg(openings)), { path: 'd.svg' });
  const job = readJob({ path: 'job.yaml', text: jobOf(roles) }, { read: () => undefined });
  const warnings = nestedOpenings(assignRoles(drawing, job.roles));
  for (const { code } of warnings) expect(code).toBe('opening-in-opening');
  return warnings.map(({ message }) => message);
};

describe('An opening drawn inside another one', () => {
  it('is said to be taken for an island, with what to write if that is not meant', () => {
    expect(said(moon + sun)).toEqual([
      '1 opening lies inside another one and is taken for an island of material that stays standing: sun, in moon. If that is not meant, leave it out, as in roles: {openings: not sun}.',
    ]);
    // What it tells to write does as it says.
    expect(said(moon + sun, '{openings: not sun}')).toEqual([]);
    expect(said(moon + sun, '{openings: [openings]}')[0]).toContain('{openings: [openings, not sun]}');
    expect(said(moon + sun, '{openings: [openings, not sun]}')).toEqual([]);
  });

  it('is told of once for all of them, counted', () => {
    const three = [40, 60, 80].map((y) => `<rect id="r${y}" x="120" y="${y - 20}" width="9" height="9"/>`);
    const window = '<rect id="window" x="110" y="10" width="60" height="80"/>';
    expect(said(window + three.join(''))).toEqual([
      '3 openings lie inside other ones and are taken for islands of material that stay standing: the first of them r40, in window. If that is not meant, leave them out, as in roles: {openings: not r40}.',
    ]);
  });

  it('is no matter where the drawing or the job says that an island is meant', () => {
    const ring = 'M40 50a20 20 0 1 0 40 0a20 20 0 1 0-40 0Z M54 50a8 8 0 1 1 16 0a8 8 0 1 1-16 0Z';
    expect(said(`<path id="ring" d="${ring}"/>`)).toEqual([]);
    // An opening in an island is one.
    expect(said(`<path id="ring" d="${ring}"/><circle id="dot" cx="62" cy="50" r="2"/>`)).toEqual([]);
    expect(said(moon + sun, '{openings: [openings, sun]}')).toEqual([]);
    const inLayers = `<g id="leaves">${moon}</g><g id="islands">${sun}</g>`;
    expect(said(inLayers)).toHaveLength(1);
    expect(said(inLayers, '{openings: [leaves, islands]}')).toEqual([]);
  });

  it('is none where openings lie side by side, cross, or are drawn twice', () => {
    expect(said(`${moon}<circle id="b" cx="120" cy="50" r="8"/>`)).toEqual([]);
    expect(said(`${moon}<circle id="b" cx="80" cy="50" r="8"/>`)).toEqual([]);
    expect(said(`${moon}<circle id="b" cx="60" cy="50" r="20"/>`)).toEqual([]);
    // In the box of a crescent, and not in the crescent.
    expect(
      said('<path id="c" d="M40 10L90 50L40 90L70 50Z"/><circle id="b" cx="52" cy="50" r="3"/>'),
    ).toEqual([]);
  });

  it('is told of by list and by every job, but for one that cuts the lines as they are drawn', () => {
    const bytes = bytesOf(svg(moon + sun));
    const codes = (warnings: readonly { code: string }[]) => warnings.map(({ code }) => code);
    expect(codes(listDrawing(bytes, 'd.svg').warnings)).toContain('opening-in-opening');
    const load = (cut: string) => loadJob({ path: 'j.yaml', text: jobOf('{}', cut) }, { read: () => bytes });
    expect(codes(load('{clearance: 0.5}').warnings)).toContain('opening-in-opening');
    expect(codes(load('{kind: as-drawn}').warnings)).not.toContain('opening-in-opening');
  });

  it('is not looked for among more openings than are ever cut, and that is said', () => {
    const rows = Array.from({ length: 201 }, (_, row) => {
      const cells = Array.from({ length: 1000 }, (_, k) => `M${k} ${row}h.5v.5z`);
      return cells.map((d) => `<path d="${d}"/>`).join('');
    });
    const drawing = readDrawing(bytesOf(svg(rows.join(''))), { path: 'd.svg' });
    const job = readJob({ path: 'job.yaml', text: jobOf('{}') }, { read: () => undefined });
    const [warning] = nestedOpenings(assignRoles(drawing, job.roles));
    expect(warning).toEqual({
      code: 'openings-unsearched',
      message:
        '201000 openings are too many to look for such as lie inside others; those would be taken for islands of material that stay standing.',
    });
  });
});
