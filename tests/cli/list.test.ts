import { mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { widthOf } from '../../src/report/text/layout.js';
import { workshop } from './workshop.js';

describe('reseat list --json', () => {
  it('prints the contract for one drawing on one line', async () => {
    const { status, out, err } = await workshop().call('list', '--json', 'panel.svg');
    expect([status, err]).toEqual([0, '']);
    expect(out.split('\n')).toHaveLength(2);
    const listed = JSON.parse(out);
    expect(Object.keys(listed)).toEqual([
      'schemaVersion',
      'drawing',
      'units',
      'box',
      'shapes',
      'marks',
      'rolesLine',
      'readings',
      'joined',
      'duplicates',
      'leftOut',
      'warnings',
    ]);
    expect(listed.joined).toEqual({
      distance: 0.01,
      outlines: 0,
      lines: 0,
      openPaths: 0,
      largestGap: null,
    });
    expect(listed.duplicates).toBe(0);
    expect(listed.drawing).toBe('panel.svg');
    expect(listed.box).toEqual([0, 0, 200, 100]);
    expect(listed.shapes.map((s: { id: string; role: string }) => [s.id, s.role])).toEqual([
      ['A', 'mark'],
      ['B', 'mark'],
      ['C', 'mark'],
      ['D', 'mark'],
      ['moon', 'opening'],
      ['window', 'opening'],
      ['outline', 'outline'],
    ]);
    expect(Object.keys(listed.shapes[0])).toEqual([
      'id',
      'layer',
      'role',
      'kind',
      'closed',
      'length',
      'area',
      'box',
      'stroke',
      'fill',
    ]);
    expect(listed.shapes[5]).toMatchObject({ layer: 'openings', kind: 'rect', closed: true, area: 1600 });
    expect(listed.shapes[6].layer).toBeNull();
  });

  it('of a job file shows what the roles of the job make of its drawing, before there are readings', async () => {
    const shop = workshop();
    shop.write('plan.yaml', 'drawing: panel.svg\nroles: {openings: window, outline: moon}\n');
    const { status, out, err } = await shop.call('list', '--json', 'plan.yaml');
    expect([status, err]).toEqual([0, '']);
    const listed = JSON.parse(out);
    expect(listed.drawing).toBe('panel.svg');
    const roles = Object.fromEntries(
      listed.shapes.map(({ id, role }: { id: string; role: string }) => [id, role]),
    );
    expect(roles).toMatchObject({ A: 'mark', window: 'opening', moon: 'outline', outline: 'unused' });
    const units = await shop.call('list', '--units', 'mm', 'plan.yaml');
    expect(units.status).toBe(2);
    expect(units.err).toContain('expected: that in the job: units: mm');
    const over = await shop.call('list', 'plan.yaml', '-o', 'panel.svg', '--force');
    expect(over.status).toBe(2);
    expect(over.err).toContain('panel.svg');
  });

  it('has no area for an open shape, and tells what was left out', async () => {
    const shop = workshop();
    shop.write(
      'open.svg',
      '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60"><path id="crack" d="M10 10L30 40"/><text x="5" y="5">fern</text></svg>',
    );
    const listed = JSON.parse((await shop.call('list', '--json', 'open.svg')).out);
    expect(listed.shapes[0]).toMatchObject({ id: 'crack', closed: false, area: null });
    expect(listed.leftOut).toHaveLength(1);
    expect(Object.keys(listed.leftOut[0])).toEqual(['what', 'where', 'why']);
  });

  it('joins loose lines as far apart as it is told, and says so', async () => {
    const shop = workshop();
    shop.write(
      'loose.svg',
      '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60"><g id="openings" fill="none"><path d="M10 10H30V30"/><path d="M30.03 30H10V10"/><path d="M12 10H20"/></g></svg>',
    );
    const usual = JSON.parse((await shop.call('list', '--json', 'loose.svg')).out);
    expect(usual.joined).toMatchObject({ distance: 0.01, outlines: 0, openPaths: 1 });
    expect(usual.warnings.map(({ code }: { code: string }) => code)).toContain('open-path-left-out');
    const { out } = await shop.call('list', '--json', '--join', '0.05', 'loose.svg');
    const wider = JSON.parse(out);
    expect(wider.joined).toMatchObject({ distance: 0.05, outlines: 1, lines: 2 });
    expect(wider.joined.largestGap).toBeCloseTo(0.03, 9);
    expect(wider.duplicates).toBe(1);
    const text = (await shop.call('list', '--join', '0.05', 'loose.svg')).out;
    expect(text).toMatch('joined: 1 outline of 2 lines, largest gap 0.0300 mm; drawn twice: 1 line');
    for (const typed of ['-1', 'fern', '1e9', '']) {
      const { status, err } = await shop.call('list', `--join=${typed}`, 'loose.svg');
      expect(status, typed).toBe(2);
      expect(err, typed).toMatch('a distance in mm, from 0 to 5');
    }
  });

  it('shows a line for each layer where there are too many shapes to show, and all of them as JSON', async () => {
    const shop = workshop();
    const holes = Array.from(
      { length: 900 },
      (_, i) => `<circle cx="${1 + (i % 40)}" cy="${1 + i / 40}" r=".3"/>`,
    );
    shop.write(
      'many.svg',
      `<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60"><g id="openings" stroke="#ff0000">${holes.join('')}</g><g id="marks"><circle id="A" cx="80" cy="50" r="1"/></g></svg>`,
    );
    const { out } = await shop.call('list', 'many.svg');
    expect(out).toMatch(/^ {2}A +marks +mark /m);
    expect(out).toMatch(/^ {2}openings +opening +#ff0000 +900 +0 +circle-1$/m);
    expect(out.split('\n').length).toBeLessThan(20);
    const listed = JSON.parse((await shop.call('list', '--json', 'many.svg')).out);
    expect(listed.shapes).toHaveLength(901);
  });

  it('shows the layers with the most shapes first, those drawn first of equal ones, and counts the others', async () => {
    const shop = workshop();
    const layer = (name: string, count: number, i: number) =>
      `<g id="${name}"><rect x="${i % 80}" y="${Math.floor(i / 80)}" width=".4" height=".4"/>${['9v1', '19v1']
        .slice(0, count - 1)
        .map((d) => `<path d="M${i % 80} ${i < 80 ? d : `3${d}`}"/>`)
        .join('')}</g>`;
    const groups = Array.from({ length: 90 }, (_, i) =>
      layer(`g${i}`, i === 70 || i === 80 ? 3 : 1 + (i % 2), i),
    );
    shop.write(
      'layers.svg',
      `<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60"><g id="openings">${groups.join('')}</g></svg>`,
    );
    const { out } = await shop.call('list', 'layers.svg');
    const shown = [...out.matchAll(/^ {2}(g\d+) +opening +- +(\d+) +(\d+) /gm)].map(
      ([, name, closed, open]) => [name, Number(closed) + Number(open)],
    );
    expect(shown).toHaveLength(60);
    const twos = Array.from({ length: 45 }, (_, k) => [`g${2 * k + 1}`, 2]);
    const ones = ['g0', 'g2', 'g4', 'g6', 'g8', 'g10', 'g12', 'g14', 'g16', 'g18', 'g20', 'g22', 'g24'];
    expect(shown).toEqual([['g70', 3], ['g80', 3], ...twos, ...ones.map((name) => [name, 1])]);
    expect(out).toContain('and 30 shapes in 30 more layers');
  });

  it('refuses a drawing with nothing in it', async () => {
    const shop = workshop();
    const root = '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60"';
    shop.write('empty.svg', `${root}/>`);
    const empty = await shop.call('list', '--json', 'empty.svg');
    expect([empty.status, empty.out]).toEqual([2, '']);
    expect(empty.err).toMatch('a drawing without a single shape');
    expect(empty.err).toMatch(/^reseat: empty.svg:1\n/);
    shop.write('words.svg', `${root}>\n<text x="5" y="5">fern</text></svg>`);
    const words = await shop.call('list', 'words.svg');
    expect([words.status, words.out]).toEqual([2, '']);
    expect(words.err.replace(/\s+/g, ' ')).toMatch('nothing can be taken (first text at line 2:');
    expect(words.err).toMatch(/^reseat: words.svg:2\n/);
  });
});

describe('reseat list', () => {
  it('shows shapes, roles, places and sizes in 100 columns', async () => {
    const { status, out } = await workshop().call('list', 'panel.svg');
    expect(status).toBe(0);
    expect(out).toContain('4 marks, 2 openings, 1 outline, 0 unused');
    expect(out).toMatch(/window +openings +opening +rect +- +120\.0 +50\.0 +40\.0 +40\.0 +1600\n/);
    for (const line of out.split('\n')) expect(widthOf(line)).toBeLessThanOrEqual(100);
  });

  it('counts marks, not the lines that they are drawn in', async () => {
    const shop = workshop();
    const cross = (x: number): string => `<path d="M${x} 20h10"/><path d="M${x + 5} 15v10"/>`;
    shop.write(
      'crosses.svg',
      `<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">
       <g id="marks">${cross(10)}${cross(40)}${cross(70)}</g><circle id="openings" cx="45" cy="45" r="8"/></svg>`,
    );
    const { out } = await shop.call('list', 'crosses.svg');
    expect(out).toContain('3 marks, 1 opening,');
  });

  it('prints the line that states assumed roles by itself, not wrapped, and the strokes', async () => {
    const shop = workshop();
    shop.write(
      'coloured.svg',
      `<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60"><rect id="the-edge-of-the-panel" x=".5" y=".5" width="89" height="59"/>
       ${Array.from({ length: 12 }, (_, i) => `<circle cx="${7 * i + 5}" cy="20" r="3" stroke="#C83737"/>`).join('')}<path id="a-fold-in-the-middle" d="M0 30h9" stroke="#c83737"/></svg>`,
    );
    const { out } = await shop.call('list', 'coloured.svg');
    const line =
      'roles: {openings: ["stroke:#c83737", not a-fold-in-the-middle], outline: the-edge-of-the-panel}';
    expect(out.split('\n')).toContain(line);
    expect(out).toMatch(/circle-2 +- +opening +circle +#c83737/);
    const listed = JSON.parse((await shop.call('list', '--json', 'coloured.svg')).out);
    expect(listed.rolesLine).toBe(line);
    expect(listed.shapes[1].stroke).toBe('#c83737');
    shop.write(
      'stated.yaml',
      `drawing: coloured.svg\n${line}\nmarks: {A: [5, 5], B: [80, 5]}\nreadings: {A: [5, 5], B: [80, 5]}\nfit: {reading-sd: 0.1}\n`,
    );
    const fit = JSON.parse((await shop.call('fit', '--json', 'stated.yaml')).out);
    expect(fit.warnings.map((w: { code: string }) => w.code)).not.toContain('roles-assumed');
  });

  it('takes the unit of a drawing that states none', async () => {
    const shop = workshop();
    const bare = shop.read('panel.svg').replace('width="200mm" height="100mm" ', '');
    shop.write('bare.svg', bare);
    const without = await shop.call('list', 'bare.svg');
    expect(without.status).toBe(0);
    expect(without.out).toContain('dpi-assumed: The panel is');
    const inches = await shop.call('list', '--units', 'in', '--json', 'bare.svg');
    expect(inches.status).toBe(0);
    expect(JSON.parse(inches.out).box.map((v: number) => Math.round(v))).toEqual([0, 0, 5080, 2540]);
  });

  it('takes px to the inch of a drawing in px', async () => {
    const shop = workshop();
    shop.write(
      'px.svg',
      shop.read('panel.svg').replace('width="200mm" height="100mm"', 'width="200px" height="100px"'),
    );
    const listed = JSON.parse((await shop.call('list', '--dpi', '72', '--json', 'px.svg')).out);
    expect(listed.box[2]).toBeCloseTo((200 * 25.4) / 72, 6);
    expect(listed.warnings).toEqual([]);
    expect((await shop.call('list', 'px.svg')).out).toContain('dpi-assumed');
    expect((await shop.call('list', '--dpi', '9', 'px.svg')).err).toContain('a number from 10 to 10000');
    expect((await shop.call('list', '--dpi', '90', '--units', 'mm', 'px.svg')).status).toBe(2);
  });

  it('looks at every drawing, tells all that is wrong and prints what is right', async () => {
    const shop = workshop();
    shop.write('broken.svg', '<svg');
    const { status, out, err } = await shop.call('list', '--json', 'broken.svg', 'panel.svg');
    expect(status).toBe(2);
    expect(err).toContain('reseat: broken.svg');
    expect(JSON.parse(out).drawing).toBe('panel.svg');
  });

  it('points to roles and marks where the drawing has none', async () => {
    const shop = workshop();
    shop.write('plain.svg', shop.read('panel.svg').replace(/<g id="marks">.*?<\/g>/s, ''));
    const { out } = await shop.call('list', 'plain.svg');
    expect(out.replace(/\s+/g, ' ')).toContain(
      'Next: write these lines into a file plain.yaml beside the drawing, with your own figures: where each mark is in the drawing, and what the display shows over it. drawing: plain.svg marks: A: [x, y]',
    );
  });
});

describe('reseat list -o', () => {
  it('draws a picture, as SVG or PNG by its name, and says where it is', async () => {
    const shop = workshop();
    const { status, out } = await shop.call('list', 'panel.svg', '-o', 'panel-roles.svg');
    expect(status).toBe(0);
    expect(out).toMatch(/Picture: panel-roles\.svg\n$/);
    expect(shop.read('panel-roles.svg')).toContain('data-role="opening"');
    const json = await shop.call('list', '--json', 'panel.svg', '-o', 'panel.png');
    expect(JSON.parse(json.out).drawing).toBe('panel.svg');
    expect(readFileSync(join(shop.folder, 'panel.png')).subarray(1, 4).toString()).toBe('PNG');
  });

  it('replaces nothing unasked, and never the drawing', async () => {
    const shop = workshop();
    shop.write('a.svg', 'mine');
    const there = await shop.call('list', 'panel.svg', '-o', 'a.svg');
    expect([there.status, there.out]).toEqual([2, '']);
    expect(there.err).toContain('a file that exists already');
    expect(shop.read('a.svg')).toBe('mine');
    expect((await shop.call('list', 'panel.svg', '-o', 'a.svg', '--force')).status).toBe(0);
    const own = await shop.call('list', 'panel.svg', '-o', 'panel.svg', '--force');
    expect(own.status).toBe(2);
    expect((await shop.call('list', 'panel.svg', '-o', 'panel.pdf')).err).toContain('neither .png nor .svg');
  });

  it('puts one picture for each of several drawings into a folder', async () => {
    const shop = workshop();
    shop.write('other.svg', shop.read('panel.svg'));
    expect((await shop.call('list', 'panel.svg', 'other.svg', '-o', 'pictures')).err).toContain(
      'no folder of that name',
    );
    mkdirSync(join(shop.folder, 'pictures'));
    expect((await shop.call('list', 'panel.svg', 'other.svg', '-o', 'pictures')).status).toBe(0);
    expect(readdirSync(join(shop.folder, 'pictures')).sort()).toEqual(['other.png', 'panel.png']);
    const twice = await shop.call('list', 'panel.svg', './panel.svg', '-o', 'pictures', '--force');
    expect(twice.err).toContain('both of which would be drawn there');
  });
});
