/** A drawing with one closed path, which may be the panel's edge or an opening in it. */
import { describe, expect, it } from 'vitest';
import { listDrawing, listJob } from '../../src/drawing/list-drawing.js';
import { InputError } from '../../src/job/messages.js';
import { checkJob, loadJob } from '../../src/reseat.js';
import { bytesOf, page } from './svg-text.js';

const lone = '<rect id="r" x="30" y="30" width="40" height="40"/>';
const round = '[10, 10], B: [90, 10], C: [10, 90]';
const within = '[35, 35], B: [65, 35], C: [35, 65]';

const jobOf = (body: string, marks: string, roles = '') => {
  const files = { read: () => bytesOf(page(body)) };
  const text = `drawing: d.svg\n${roles}\nmarks: {A: ${marks}}\nreadings: {A: ${marks}}\nfit: {reading-sd: 0.05}\ncut: {clearance: 0.5}\n`;
  const source = { path: 'job.yaml', text };
  return { listed: () => listJob(source, files), check: () => checkJob(loadJob(source, files)) };
};

const rolesOf = ({ roles }: ReturnType<typeof listDrawing>) => Object.fromEntries(roles.roles);

const refusalOf = (act: () => unknown): InputError => {
  try {
    act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
};

describe('one closed path alone', () => {
  it('is shown as an opening and as the edge of the panel, and each line states what it says', () => {
    const listed = listDrawing(bytesOf(page(lone)), 'd.svg');
    expect(listed.roles.doubt!.readings.map(({ line, says }) => [line, says])).toEqual([
      ['roles: {openings: r}', 'there is no outline, and the only closed path is an opening'],
      ['roles: {outline: r}', 'r is the outline, and there are no openings'],
    ]);
    expect(listed.warnings.map(({ code }) => code)).toEqual(['roles-uncertain']);
    for (const [line, role] of [
      ['roles: {openings: r}', 'opening'],
      ['roles: {outline: r}', 'outline'],
    ] as const) {
      const stated = jobOf(lone, '[30, 30], B: [70, 30], C: [30, 70]', line).listed();
      expect(stated.roles.doubt).toBeUndefined();
      expect(rolesOf(stated)).toEqual({ r: role });
    }
  });

  it('is refused with both lines where the marks lie on it', () => {
    const { next, found } = refusalOf(jobOf(lone, '[30, 30], B: [70, 30], C: [30, 70]').check);
    expect(found).toContain('r is the only closed path, and no marks tell');
    expect(next).toContain('Write `roles: {openings: r}`');
    expect(next).toContain('Or write `roles: {outline: r}`');
  });

  it('is refused where some marks lie in it and some outside', () => {
    const { found } = refusalOf(jobOf(lone, '[10, 10], B: [65, 35], C: [35, 65]').check);
    expect(found).toContain('marks lie in it as well as outside');
  });

  it('is an opening where all marks lie outside, one on its corner or not', () => {
    for (const marks of [round, '[10, 10], B: [90, 10], C: [30, 30]']) {
      const job = jobOf(lone, marks);
      expect(rolesOf(job.listed())).toEqual({ r: 'opening' });
      expect(job.check().ok).toBe(true);
    }
  });

  it('is the edge of the panel where marks lie in it, and is not cut as an opening', () => {
    const job = jobOf(lone, within);
    const listed = job.listed();
    expect(rolesOf(listed)).toEqual({ r: 'outline' });
    expect(listed.warnings.map(({ message }) => message).join('\n')).toContain(
      'r, in which the marks lie, is the outline, and there are no openings. To state it, write into the job: roles: {outline: r}.',
    );
    const { found, next } = refusalOf(job.check);
    expect(found).toBe('no closed path among 0 openings');
    expect(next).toContain('roles');
  });

  it('is told by drawn marks as by typed ones', () => {
    const dots = (at: number) =>
      `<g id="marks"><circle id="A" cx="${at}" cy="${at}" r="1"/><circle id="B" cx="${100 - at}" cy="${at}" r="1"/></g>`;
    const roleWith = (at: number) =>
      listDrawing(bytesOf(page(lone + dots(at))), 'd.svg').roles.roles.get('r');
    expect(roleWith(10)).toBe('opening');
    expect(roleWith(36)).toBe('outline');
  });

  it('and its counter in it is a letter where the marks lie outside, and a panel with an opening where they lie in it', () => {
    const letter = '<path id="O" d="M30 30H70V70H30Z M40 40H60V60H40Z"/>';
    const outside = jobOf(letter, round);
    expect(rolesOf(outside.listed())).toEqual({ O: 'opening' });
    expect(outside.check().ok).toBe(true);
    expect(rolesOf(jobOf(letter, within).listed())).toEqual({ O: 'outline', 'O.1': 'opening' });
    // Each letter of a word would be a panel of its own.
    const word = `${letter}<path id="D" d="M80 30H95V70H80Z M84 40H90V60H84Z"/>`;
    expect(() => jobOf(word, round).check()).toThrow(InputError);
  });

  it('drawn twice is one path', () => {
    const twice = `${lone}<path id="s" d="M30 30H70V70H30.001Z" stroke="red"/>`;
    expect(listDrawing(bytesOf(page(twice)), 'd.svg').roles.doubt!.readings).toHaveLength(2);
  });

  it('is told by its name, and by what the job says it is not', () => {
    const named = lone.replace('"r"', '"outline"');
    expect(listDrawing(bytesOf(page(named)), 'd.svg').roles.doubt).toBeUndefined();
    const left = jobOf(lone, '[30, 30], B: [70, 30], C: [30, 70]', 'roles: {outline: not r}').listed();
    expect(left.roles.doubt).toBeUndefined();
    expect(rolesOf(left)).toEqual({ r: 'opening' });
  });
});
