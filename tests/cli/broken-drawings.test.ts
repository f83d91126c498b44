import { describe, expect, it } from 'vitest';
import { workshop } from './workshop.js';

const svg =
  '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">\n<g id="openings">\n<path id="leaf" d="M10 10H30V30z"/>\n</g>\n</svg>\n';
const leaf = '<path id="leaf" d="M10 10H30V30z"/>';
const dxf = `0 SECTION 2 HEADER 9 $INSUNITS 70 4 0 ENDSEC 0 SECTION 2 BLOCKS 0 BLOCK 2 LEAF 10 0 20 0
0 INSERT 8 0 2 FROND 10 0 20 0 0 ENDBLK 0 ENDSEC 0 SECTION 2 ENTITIES
0 LINE 8 0 10 0.5 20 0.0 11 10.5 21 5.0 0 ENDSEC 0 EOF `.replace(/\s+/g, '\n');

const latin1 = (text: string): Uint8Array => Uint8Array.from(text, (c) => c.charCodeAt(0));

describe('a drawing that is broken is refused with its place, and nothing is printed', () => {
  it.each<[string, string, string | Uint8Array, RegExp]>([
    ['an SVG that is cut off', 'a.svg', svg.slice(0, 120), /a\.svg:3:\d+ .*unclosed tag/],
    [
      'an SVG in another codepage',
      'a.svg',
      latin1(svg.replace('leaf', 'bl\xe4tt')),
      /a\.svg:3 .*no UTF-8 text/,
    ],
    ['an SVG with words for numbers', 'a.svg', svg.replace('M10', 'M1O'), /a\.svg:3:\d+, leaf .*"O /],
    [
      'an SVG that shows itself',
      'a.svg',
      svg.replace('</g>', '<use href="#openings"/></g>'),
      /a\.svg:4, use .*loop/,
    ],
    ['an empty SVG file', 'a.svg', '', /a\.svg:1 .*an empty file/],
    ['an SVG without a shape', 'a.svg', svg.replace(leaf, ''), /a\.svg:1 .*without a single shape/],
    [
      'a DXF that is cut off in a pair',
      'a.dxf',
      dxf.slice(0, dxf.indexOf('10.5')),
      /a\.dxf:\d+ .*end of the file/,
    ],
    ['a DXF without its end', 'a.dxf', dxf.slice(0, -4), /a\.dxf:\d+ .*end of the file/],
    [
      'a DXF with words for numbers',
      'a.dxf',
      dxf.replace('10.5', 'ten'),
      /a\.dxf:\d+ .*"ten" as the value of group 11/,
    ],
    [
      'a DXF with a line too few',
      'a.dxf',
      dxf.replace('8\n0\n10\n0.5', '8\n10\n0.5'),
      /a\.dxf:\d+ .*group code/,
    ],
    [
      'a DXF block that holds itself',
      'a.dxf',
      dxf.replace('FROND', 'LEAF').replace('\nLINE', '\nINSERT\n8\n0\n2\nLEAF\n10\n0\n20\n0\n0\nLINE'),
      /a\.dxf:\d+ .*holds itself/,
    ],
    ['an empty DXF file', 'a.dxf', '', /a\.dxf:1 .*an empty file/],
    [
      'a DXF without an entity',
      'a.dxf',
      dxf.replace(/LINE[\s\S]*5\.0\n0\n/, ''),
      /a\.dxf:40 .*without a single entity/,
    ],
  ])('%s', async (_name, file, content, told) => {
    const shop = workshop();
    shop.write(file, content);
    for (const json of [[], ['--json']]) {
      const { status, out, err } = await shop.call('list', ...json, file);
      expect([status, out]).toEqual([2, '']);
      expect(err.replace(/\s+/g, ' ')).toMatch(told);
    }
  });

  it('mixed newlines are none of this', async () => {
    const shop = workshop();
    shop.write('a.svg', svg.replace('\n', '\r\n').replace('</g>\n', '</g>\r'));
    shop.write('a.dxf', dxf.replace('LINE\n', 'LINE\r').replace('ENTITIES\n', 'ENTITIES\r\n'));
    for (const file of ['a.svg', 'a.dxf']) {
      const { status, out } = await shop.call('list', '--json', file);
      expect(status).toBe(0);
      expect(JSON.parse(out).shapes).toHaveLength(1);
    }
  });
});
