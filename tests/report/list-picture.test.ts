import fc from 'fast-check';
import { SaxesParser } from 'saxes';
import { describe, expect, it } from 'vitest';
import { listDrawing } from '../../src/drawing/list-drawing.js';
import type { Box } from '../../src/geometry/point.js';
import { placeLabels } from '../../src/report/picture/list/list-labels.js';
import { listPicture } from '../../src/report/picture/list/list-picture.js';
import { palette } from '../../src/report/picture/signs.js';
import { bytesOf, page } from '../drawing/svg-text.js';

const listed = (body: string) => listDrawing(bytesOf(page(body)), 'screens/fern <1>.svg');

const outline = '<rect id="panel" x="2" y="2" width="96" height="96"/>';
const body = `${outline}<g id="marks"><circle id="A" cx="9" cy="9" r="1"/></g><circle id="moon" cx="40" cy="50" r="20"/>
  <rect id="gap" x="70" y="20" width="2" height="50"/><path id="fold" d="M5 90h60"/>`;

/** The elements of a picture with their attributes and texts; it has to be XML. */
const elementsOf = (svg: string) => {
  const found: { name: string; attributes: Record<string, string>; text: string }[] = [];
  const parser = new SaxesParser();
  parser.on('error', (error) => {
    throw error;
  });
  parser.on('opentag', (tag) => {
    found.push({ name: tag.name, attributes: tag.attributes as Record<string, string>, text: '' });
  });
  parser.on('text', (text) => {
    if (found.length > 0) found.at(-1)!.text += text;
  });
  parser.write(svg).close();
  return found;
};

const textsOf = (svg: string): string[] =>
  elementsOf(svg)
    .filter(({ name }) => name === 'text')
    .map(({ text }) => text.trim());

describe('the picture of a drawing', () => {
  it('tells its roles apart by line and by filling', () => {
    const groups = elementsOf(listPicture(listed(body))).filter(({ attributes }) => attributes['data-role']);
    expect(groups.map(({ attributes }) => attributes['data-role'])).toEqual([
      'outline',
      'opening',
      'unused',
      'mark',
    ]);
    for (const one of ['stroke', 'fill', 'stroke-width', 'stroke-dasharray']) {
      const looks = groups.map(({ attributes }) => `${attributes[one]}`);
      expect(new Set(looks).size).toBeGreaterThan(1);
    }
    const look = groups.map(
      ({ attributes: a }) => `${a.fill} ${a['stroke-dasharray']} ${a['data-role'] === 'mark'}`,
    );
    expect(new Set(look).size).toBe(4);
  });

  it('counts the roles in its legend, names shapes and has a scale in mm', () => {
    const texts = textsOf(listPicture(listed(body)));
    for (const text of [
      'fern <1>.svg',
      '1 mark',
      '2 openings',
      '1 outline',
      '1 shape unused',
      '10 mm',
      '96.00 x 96.00 mm, unit mm',
    ]) {
      expect(texts).toContain(text);
    }
    for (const name of ['panel', 'A', 'moon', 'gap', 'fold']) expect(texts).toContain(name);
  });

  it('shows the line that states assumed roles, and what is not in the picture', () => {
    const texts = textsOf(listPicture(listed(`${body}<text x="3" y="3">fern</text>`)));
    expect(texts.join(' ')).toContain('roles: {openings: [moon, gap], outline: panel}');
    expect(texts).toContain('Not in the picture: text.');
  });

  it('shows an opening inside another one as the material that stays standing, over the one round it', () => {
    const inner = '<circle id="inner" cx="40" cy="50" r="6"/>';
    const picture = listPicture(
      listed(`<g id="openings">${inner}<circle id="moon" cx="40" cy="50" r="20"/></g>${outline}`),
    );
    const drawn = elementsOf(picture).filter(({ name }) => name === 'path' || name === 'title');
    const fillOf = (id: string): string | undefined => {
      const at = drawn.findIndex(({ name, text }) => name === 'title' && text.trim() === id);
      return drawn[at - 1]!.attributes.fill;
    };
    expect(fillOf('inner')).toBe(palette.panel);
    expect(fillOf('moon')).toBeUndefined();
    expect(picture.indexOf('>inner<')).toBeGreaterThan(picture.indexOf('>moon<'));
  });

  it('is a picture also of a single line and of marks alone', () => {
    expect(textsOf(listPicture(listed('<path id="p" d="M5 5h20"/>')))).toContain('1 shape unused');
    expect(textsOf(listPicture(listed('<g id="marks"><circle id="A" cx="9" cy="9" r="1"/></g>')))).toContain(
      'A',
    );
  });

  it('numbers what it has no room to name, and says in a key what the numbers mean', () => {
    const many = Array.from(
      { length: 100 },
      (_, i) =>
        `<circle id="hole-number-${i}" cx="${8 + 9 * (i % 10)}" cy="${8 + 9 * Math.floor(i / 10)}" r="3.4"/>`,
    );
    const picture = listPicture(listed(`${outline}${many.join('')}`));
    const texts = textsOf(picture);
    const key = picture.slice(picture.indexOf('data-part="key"'));
    expect(texts).toContain('Numbers in the picture');
    for (const i of [0, 57, 99]) expect(key).toContain(`>hole-number-${i}<`);
    const labels = picture.slice(picture.indexOf('data-part="labels"'), picture.indexOf('data-part="scale"'));
    for (const number of [1, 58, 100]) expect(labels).toContain(`>${number}<`);
    expect(texts.some((text) => text.startsWith('Names stand where they fit'))).toBe(false);
  });

  it('says how many names found no place', () => {
    const many = Array.from(
      { length: 2000 },
      (_, i) => `<circle cx="${3 + 2.3 * (i % 40)}" cy="${3 + 1.9 * Math.floor(i / 40)}" r="0.7"/>`,
    );
    const texts = textsOf(listPicture(listed(`${outline}${many.join('')}`)));
    expect(texts).toContain('2000 openings');
    expect(texts.find((text) => text.startsWith('Names stand where they fit'))).toMatch(/: \d+ of 2001\.$/);
  });
});

describe('names in the picture', () => {
  it('lie neither on each other nor out of the frame, and on no shape but their own', () => {
    const number = (min: number, max: number) => fc.integer({ min, max });
    const rect = fc.record({ x: number(0, 80), y: number(0, 80), w: number(1, 30), h: number(1, 30) });
    const frame = { x: 0, y: 0, width: 1112, height: 1112 };
    let placed = 0;
    fc.assert(
      fc.property(fc.array(rect, { minLength: 1, maxLength: 30 }), (rects) => {
        const drawn = rects.map(
          ({ x, y, w, h }, i) => `<rect id="r${i}" x="${x}" y="${y}" width="${w}" height="${h}"/>`,
        );
        const { roles, rows } = listed(drawn.join(''));
        const view = { toPicture: [10, 0, 0, -10, 56, 1056] as const, frame, scale: 10 };
        const { labels } = placeLabels(roles, rows, [{ name: 'A', at: { x: 500, y: 500 } }], view);
        const boxes = labels.map(({ text, at, size }): Box => {
          // As wide as a plain face writes it, without the air around.
          const [width, height] = [0.5 * size * text.length, 0.8 * size];
          return {
            minX: at.x - width / 2,
            minY: at.y - height / 2,
            maxX: at.x + width / 2,
            maxY: at.y + height / 2,
          };
        });
        const meet = (a: Box, b: Box) =>
          a.minX < b.maxX && b.minX < a.maxX && a.minY < b.maxY && b.minY < a.maxY;
        boxes.forEach((box, i) => {
          expect(box.minX >= 0 && box.maxX <= 1112 && box.minY >= 0 && box.maxY <= 1112).toBe(true);
          for (const other of boxes.slice(i + 1)) expect(meet(box, other)).toBe(false);
        });
        placed += labels.length;
      }),
      { seed: 20261125, numRuns: 60 },
    );
    expect(placed).toBeGreaterThan(200);
  });
});
