/** The `transform` attribute: a list of named maps, strictly as the grammar has it. */
import { compose, identity, type Matrix, translation } from '../../../geometry/affine.js';
import { Scanner, shorten } from '../svg-scanner.js';
import { AttributeFault } from '../xml/attribute-fault.js';

/** How many numbers each map takes: W3C SVG 1.1, section 7.6. */
const argumentCounts: ReadonlyMap<string, readonly number[]> = new Map([
  ['matrix', [6]],
  ['translate', [1, 2]],
  ['scale', [1, 2]],
  ['rotate', [1, 3]],
  ['skewX', [1]],
  ['skewY', [1]],
]);

/**
 * The map of a transform list. In `translate(10) rotate(5)` the rotation comes first: the list
 * reads from the outside to the inside.
 * @throws AttributeFault with the position of what does not belong there.
 */
export const parseTransform = (text: string): Matrix => {
  const scan = new Scanner('transform', text);
  scan.skipBlanks();
  let whole: Matrix = identity;
  if (text.trim() === 'none') return whole;
  while (!scan.done) {
    const start = scan.at;
    const name = readName(scan);
    const counts = argumentCounts.get(name);
    if (counts === undefined) {
      throw scan.fault('one of matrix, translate, scale, rotate, skewX, skewY', start);
    }
    const numbers = readArguments(scan);
    if (!counts.includes(numbers.length)) {
      throw new AttributeFault({
        attribute: 'transform',
        offset: start,
        found: `${name} with ${numbers.length} number${numbers.length === 1 ? '' : 's'} in the attribute transform`,
        expected: `${name} with ${counts.join(' or ')}`,
        next: 'Correct the attribute, or export the drawing again.',
      });
    }
    const map = namedMap(name, numbers);
    if (!map.every(Number.isFinite)) {
      throw new AttributeFault({
        attribute: 'transform',
        offset: start,
        found: `${shorten(text.slice(start, scan.at))}, which sends points to infinity`,
        expected: 'a finite map',
        next: 'Correct the attribute, or export the drawing again.',
      });
    }
    whole = compose(whole, map);
    if (scan.skipSeparator() && scan.done) throw scan.fault('another map after the comma');
  }
  return whole;
};

const readName = (scan: Scanner): string => {
  const start = scan.at;
  for (let code = scan.peek() | 32; code >= 97 && code <= 122; code = scan.peek() | 32) scan.at += 1;
  return scan.text.slice(start, scan.at);
};

const readArguments = (scan: Scanner): number[] => {
  scan.skipBlanks();
  if (scan.peek() !== 40) throw scan.fault('an opening bracket');
  scan.at += 1;
  scan.skipBlanks();
  const numbers: number[] = [];
  while (scan.peek() !== 41) {
    numbers.push(scan.number());
    const comma = scan.skipSeparator();
    if (comma ? !scan.numberAhead() : scan.peek() !== 41 && !scan.numberAhead()) {
      throw scan.fault(comma ? 'a number after the comma' : 'a number or a closing bracket');
    }
  }
  scan.at += 1;
  return numbers;
};

const namedMap = (name: string, n: readonly number[]): Matrix => {
  switch (name) {
    case 'matrix':
      return [n[0]!, n[1]!, n[2]!, n[3]!, n[4]!, n[5]!];
    case 'translate':
      return translation(n[0]!, n[1] ?? 0);
    case 'scale':
      return [n[0]!, 0, 0, n[1] ?? n[0]!, 0, 0];
    case 'rotate': {
      const turn = rotationByDegrees(n[0]!);
      if (n.length === 1) return turn;
      return compose(compose(translation(n[1]!, n[2]!), turn), translation(-n[1]!, -n[2]!));
    }
    case 'skewX':
      return [1, 0, tangent(n[0]!), 1, 0, 0];
    default:
      return [1, tangent(n[0]!), 0, 1, 0, 0];
  }
};

/** Quarter turns come out exact: the cosine of the double nearest to pi/2 is 6e-17, not 0. */
const rotationByDegrees = (degrees: number): Matrix => {
  const quarter = (degrees % 360) / 90;
  if (Number.isInteger(quarter)) {
    const cos = [1, 0, -1, 0][(quarter + 4) % 4]!;
    const sin = [0, 1, 0, -1][(quarter + 4) % 4]!;
    return [cos, sin, 0 - sin, cos, 0, 0];
  }
  const angle = (degrees * Math.PI) / 180;
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  return [c, s, -s, c, 0, 0];
};

/** Infinite at 90 degrees, where the sheared axis lies flat. */
const tangent = (degrees: number): number =>
  Math.abs(degrees % 180) === 90 ? Number.POSITIVE_INFINITY : Math.tan((degrees * Math.PI) / 180);
