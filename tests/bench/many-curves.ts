/** Drawings of many curves, made up from a fixed seed. */

/** Park and Miller's minimal standard generator (Communications of the ACM 31(10), 1988). */
const seeded = (): (() => number) => {
  let seed = 20261125;
  return () => {
    seed = (seed * 16807) % 2147483647;
    return seed / 2147483647;
  };
};

/** Circles, rectangles and triangles, one as often as the other; 20,000 of them are about 1 MB. */
export const manySmallShapes = (shapes: number): string => {
  const random = seeded();
  const number = (most: number): string => (most * random()).toFixed(3);
  const bodies = Array.from({ length: shapes }, (_, i) => {
    const [x, y] = [number(1190), number(890)];
    if (i % 3 === 0) return `<circle cx="${x}" cy="${y}" r="${number(3)}"/>`;
    if (i % 3 === 1) return `<rect x="${x}" y="${y}" width="${number(3)}" height="${number(3)}"/>`;
    return `<path d="M${x} ${y}h${number(3)}l-1 ${number(3)}z"/>`;
  });
  return (
    '<svg xmlns="http://www.w3.org/2000/svg" width="1200mm" height="900mm" viewBox="0 0 1200 900">\n' +
    `${bodies.join('\n')}\n</svg>`
  );
};

/** A panel of `shapes` closed paths of eight cubics each; 2,000 of them are 16,000 cubics and about 1.3 MB. */
export const manyCurves = (shapes: number, cubics = 8): string => {
  const random = seeded();
  const paths = Array.from({ length: shapes }, (_, i) => {
    const x = 10 + 1170 * random();
    const y = 10 + 870 * random();
    const near = (): string => `${(x + 10 * random()).toFixed(6)},${(y + 10 * random()).toFixed(6)}`;
    const curves = Array.from({ length: cubics }, () => ` C ${near()} ${near()} ${near()}`).join('');
    return `<path style="fill:none;stroke:#000" d="M ${near()}${curves} Z" id="leaf-${i}"/>`;
  });
  return (
    '<svg xmlns="http://www.w3.org/2000/svg" width="1200mm" height="900mm" viewBox="0 0 1200 900">\n' +
    `<g id="openings">\n${paths.join('\n')}\n</g></svg>`
  );
};
