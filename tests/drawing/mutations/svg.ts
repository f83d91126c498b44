/** A drawing with everything in it that the SVG reader knows, and drawings made from it by random mistakes. */
import { createRandom } from '../../../src/numeric/random.js';

const source = `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE svg [<!ENTITY r "5">]>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="200mm" height="160mm" viewBox="0 0 200 160">
 <style>.a{stroke:red} #l1 path, g > rect {fill:none} .hidden{display:none}</style><title>Fern</title>
 <defs><g id="leaf"><path d="M0 0c1-2 3-2 4 0s1 3 4 2q2-3 4 0t3 1a3 2 20 0 1-2 4A4 4 0 1 1 0 0z"/></g>
  <symbol id="peg" viewBox="0 0 4 4"><circle cx="2" cy="2" r="2"/></symbol></defs>
 <g id="openings" label="Openings" transform="translate(60,50) rotate(30 5 5) scale(1.5) skewX(5)">
  <use id="l1" href="#leaf" x="3" y="4"/><use xlink:href="#peg" x="20" width="6" height="8"/>
  <rect x="1" y="12" width="20" height="10" rx="2" class="a"/><ellipse cx="35" cy="26" rx="4" ry="2"/>
  <path d="M40 40H60V60M60.004 60H40V40M40 52V40M45 40H55"/>
  <line x1="70" y1="40" x2="80" y2="40"/><path d="M80 40A5 5 0 0 1 80 50"/><line x1="80" y1="50.003" x2="70" y2="50"/>
  <path d="M70 50A5 5 0 0 1 70 40"/><path d="M70 40A5 5 0 0 0 70 50"/>
 </g>
 <g id="marks"><circle id="A" cx="10" cy="10" r="&r;" style="stroke:#f00;display:inline"/>
  <path id="B" d="M190 5v10M185 10h10"/><polyline points="5,150 10,145 15,150"/></g>
 <svg x="5" y="5" width="50%" height="20" viewBox="0 0 10 10"><path d="M1 1H9V9H1Z" visibility="visible"/></svg>
 <rect id="outline" x="2" y="2" width="196" height="156"/>
 <text>t</text><switch><g><circle cx="30" cy="90" r="1"/></g></switch><g class="hidden"><circle r="4"/></g>
</svg>
`;

const pieces = [
  ...'"<>&0-.eza%M '.split(''),
  ...'1e999 NaN #leaf <g> </g> mm 1e5 -1e-9 none 1e-320 0.0001 360 {} display:none /> --> ]]>'.split(' '),
  '0 0',
  '\u0000',
  '\uFFFD',
  '\r',
];

/** The drawing with the number `index` of all that can be made. */
export const mutated = (index: number): Uint8Array => {
  const random = createRandom(20261125 + index);
  const spots = [...source.matchAll(/\d+(\.\d+)?/g)].filter(({ index: at }) => at > source.indexOf('width='));
  let text = source;
  if (index % 2 === 0) {
    for (let count = 1 + random.index(3); count > 0; count -= 1) {
      const at = random.index(text.length);
      const cut = random.index(2) === 0 ? 0 : random.index(30);
      const from = random.index(text.length);
      const put =
        random.index(6) === 0
          ? text.slice(from, from + random.index(120))
          : pieces[random.index(pieces.length)]!;
      text = text.slice(0, at) + put + text.slice(at + cut);
    }
  } else {
    // From the back, so that the places of the others stay what they are.
    const chosen = Array.from({ length: 1 + random.index(3) }, () => random.index(spots.length));
    for (const k of [...new Set(chosen)].sort((a, b) => b - a)) {
      const spot = spots[k]!;
      const number = [
        String((random.uniform() - 0.5) * 10 ** (random.index(12) - 4)),
        '0',
        '-0',
        '1e300',
        '1e-320',
        '1e6',
        '90',
      ][random.index(7)]!;
      text = `${text.slice(0, spot.index)} ${number} ${text.slice(spot.index + spot[0].length)}`;
    }
  }
  const bytes = new TextEncoder().encode(text);
  if (random.index(8) === 0) bytes[random.index(bytes.length)]! ^= 1 << random.index(8);
  return random.index(12) === 0 ? bytes.subarray(0, random.index(bytes.length)) : bytes;
};
