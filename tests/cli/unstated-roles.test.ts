import { describe, expect, it } from 'vitest';
import { readSvgBack } from '../drawing/read-back.js';
import { workshop } from './workshop.js';

const onPage = (body: string): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">${body}</svg>`;

const positions = '{A: [14, 14], B: [86, 14], C: [14, 66]}';
const job = (more = '', cut = '{clearance: 0.5}'): string =>
  `drawing: d.svg\nmarks: ${positions}\nreadings: ${positions}\nfit: {reading-sd: 0.05}\ncut: ${cut}\n${more}`;

const shopWith = (body: string, text = job()) => {
  const shop = workshop();
  shop.write('d.svg', onPage(body));
  shop.write('job.yaml', text);
  return shop;
};

const edge = '<rect id="edge" x="10" y="10" width="80" height="60"/>';
const holes = '<circle id="h1" cx="30" cy="40" r="8"/><rect id="h2" x="50" y="30" width="20" height="15"/>';
const notch = '<circle id="notch" cx="90" cy="40" r="6"/>';

describe('a drawing that can be understood in several ways', () => {
  it('is refused by check, cut and plan, which write nothing and say what to write', async () => {
    const shop = shopWith(edge + holes + notch);
    const line = 'roles: {openings: [h1, h2, notch], outline: edge}';
    for (const call of [
      ['check', 'job.yaml'],
      ['cut', 'job.yaml', '-o', 'a.svg'],
      ['plan', 'job.yaml', '-o', 'b.svg'],
    ]) {
      const { status, out, err } = await shop.call(...call);
      expect([status, out]).toEqual([2, '']);
      expect(err).toContain(
        'found:    a drawing that can be understood in several ways, as edge crosses notch',
      );
      expect(err).toContain(`Write \`${line}\` if edge is the outline`);
    }
    expect(() => shop.read('a.svg')).toThrow();
    expect((await shop.call('fit', 'job.yaml')).status).toBe(0);

    // What the line says is what is cut: the openings grown, the one over the edge as well.
    shop.write('job.yaml', job(line));
    expect((await shop.call('cut', 'job.yaml', '-o', 'a.svg', '--force')).status).toBeLessThan(2);
    const { paths } = readSvgBack(shop.read('a.svg'));
    expect(paths.map(({ id }) => id).sort()).toEqual(['h1', 'h2', 'notch']);
  });

  it('is listed in all its readings, each with its line, in 100 columns', async () => {
    const shop = shopWith(edge + holes + notch);
    const { out } = await shop.call('list', 'd.svg');
    expect(out).toMatch(/^ {2}shape +layer +role +or +kind/m);
    expect(out).toMatch(/^ {2}notch +- +opening +unused +circle +- +90\.0 +40\.0 /m);
    const lines = out.split('\n').filter((line) => line.startsWith('roles: '));
    expect(lines).toEqual([
      'roles: {openings: [h1, h2, notch], outline: edge}',
      'roles: {openings: [h1, h2], outline: edge}',
      'roles: {openings: [edge, h1, h2, notch]}',
    ]);
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(100);
    const listed = JSON.parse((await shop.call('list', '--json', 'd.svg')).out);
    expect(listed.readings.map(({ rolesLine }: { rolesLine: string }) => rolesLine)).toEqual(lines);
    expect(listed.readings[1].roles).toEqual({
      edge: 'outline',
      h1: 'opening',
      h2: 'opening',
      notch: 'unused',
    });
    expect(listed.warnings.map(({ code }: { code: string }) => code)).toContain('roles-uncertain');
    expect((await shop.call('list', 'd.svg', '-o', 'd.svg.png')).status).toBe(0);
  });

  it('is refused for touches, whose side of an edge hangs on its role, and not for lines cut as drawn', async () => {
    const touched = job(`touches: [{on: h2, at: [60, 35]}]\n`);
    expect((await shopWith(edge + holes + notch, touched).call('fit', 'job.yaml')).err).toContain(
      'a drawing that can be understood in several ways',
    );
    const again = shopWith(edge + holes + notch, job('', '{kind: as-drawn}'));
    expect((await again.call('cut', 'job.yaml', '-o', 'a.svg')).status).toBeLessThan(2);
  });

  it('is refused where the outline is stated and a path crosses it, with both lines', async () => {
    const shop = shopWith(edge + holes + notch, job('roles: {outline: edge}'));
    const { err } = await shop.call('check', 'job.yaml');
    expect(err).toContain('`roles: {openings: [h1, h2, notch], outline: edge}`');
    expect(err).toContain('`roles: {openings: [h1, h2], outline: edge}`');
  });
});

describe('what is no opening though no layer says so', () => {
  it('circles at the typed positions of marks are the marks', async () => {
    const dots = [
      [14, 66],
      [86, 66],
      [14, 14],
    ].map(([x, y], i) => `<circle id="d${i}" cx="${x}" cy="${y}" r="1"/>`);
    const shop = shopWith(edge + holes + dots.join(''));
    const { status, out } = await shop.call('check', '--json', 'job.yaml');
    expect(status).toBe(0);
    const check = JSON.parse(out);
    expect(check.openings.map(({ id }: { id: string }) => id).sort()).toEqual(['h1', 'h2']);
    expect(check.warnings[0].message).toContain(
      'At the typed positions of marks d0, d1, d2 are taken for marks; what is an opening has to be named under roles.',
    );
  });

  it('layers called marks in another language are marks, and the line to paste says so', async () => {
    const shop = shopWith(
      `<g id="Öffnungen">${holes}</g><g id="Marken"><circle id="A" cx="14" cy="14" r="1"/></g>${edge}`,
    );
    const { out } = await shop.call('list', 'd.svg');
    const line = 'roles: {marks: Marken, openings: "Öffnungen", outline: edge}';
    expect(out.split('\n')).toContain(line);
    shop.write('job.yaml', job(line));
    const listed = JSON.parse((await shop.call('list', '--json', 'job.yaml')).out);
    expect(listed.shapes.map(({ id, role }: { id: string; role: string }) => `${id} ${role}`)).toEqual([
      'h1 opening',
      'h2 opening',
      'A mark',
      'edge outline',
    ]);
  });

  it('a rectangle of the page’s size is the background, not cut as drawn either', async () => {
    const page = '<rect id="page" width="100" height="80"/>';
    const shop = shopWith(page + edge + holes, job('', '{kind: as-drawn}'));
    const { out } = await shop.call('cut', 'job.yaml', '-o', 'a.svg');
    expect(out.replace(/\s+/g, ' ')).toContain(
      'page is as large as the page and is taken for the background',
    );
    const ids = readSvgBack(shop.read('a.svg')).paths.map(({ id }) => id);
    expect(ids.sort()).toEqual(['edge', 'h1', 'h2']);
  });

  it('a copy in another colour is cut as drawn once, and that is said', async () => {
    const copy = '<rect stroke="red" fill="none" x="10" y="10" width="80" height="60"/>';
    const shop = shopWith(edge + copy + holes, job('', '{kind: as-drawn}'));
    const { out } = await shop.call('cut', 'job.yaml', '-o', 'a.svg');
    expect(out.replace(/\s+/g, ' ')).toContain('so each is taken once, whatever its stroke and layer');
    expect(readSvgBack(shop.read('a.svg')).paths).toHaveLength(3);
  });

  it('of an edge in two layers no line is proposed that takes it apart', async () => {
    const body = `<g id="a" fill="none"><path d="M10 10H90V70"/>${holes}</g><g id="b" fill="none"><path d="M90 70H10V10"/></g>`;
    const shop = shopWith(body);
    const listed = JSON.parse((await shop.call('list', '--json', 'd.svg')).out);
    expect(listed.rolesLine).toMatch(/^roles: \{openings: (?!a,).+, outline: path-1\}$/);
    shop.write('job.yaml', job(listed.rolesLine));
    const stated = JSON.parse((await shop.call('list', '--json', 'job.yaml')).out);
    expect(stated.shapes).toEqual(listed.shapes);
  });
});
