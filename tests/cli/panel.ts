/** A small panel and its job, as text. */

/** A panel of 200 x 100 mm with four marks and two openings; design frame, y up. */
export const panel = `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">
  <g id="marks">
    <circle id="A" cx="10" cy="90" r="1"/><circle id="B" cx="190" cy="90" r="1"/>
    <circle id="C" cx="190" cy="10" r="1"/><circle id="D" cx="10" cy="10" r="1"/>
  </g>
  <g id="openings">
    <circle id="moon" cx="60" cy="50" r="10"/>
    <rect id="window" x="100" y="30" width="40" height="40"/>
  </g>
  <rect id="outline" x="0" y="0" width="200" height="100"/>
</svg>
`;

/** Turned by asin(.28) and moved by (300, 50). */
export const placed = (x: number, y: number): [number, number] => [
  0.96 * x - 0.28 * y + 300,
  0.28 * x + 0.96 * y + 50,
];

const marks = { A: [10, 10], B: [190, 10], C: [190, 90], D: [10, 90] } as const;

export interface JobParts {
  /** Added to the x of the four readings in turn. */
  readonly disturbance?: readonly number[];
  /** From the design to the display. */
  readonly place?: (x: number, y: number) => [number, number];
  /** Lines of YAML after the readings. */
  readonly more?: string;
  readonly drawing?: string;
}

/** +d, -d, +d, -d on the x readings of a rectangle is orthogonal to every parameter: none of them moves. */
export const jobText = (parts: JobParts = {}): string => {
  const {
    disturbance = [0.05, -0.05, 0.05, -0.05],
    place = placed,
    more = '',
    drawing = 'panel.svg',
  } = parts;
  const readings = Object.entries(marks).map(([name, [x, y]], i) => {
    const [px, py] = place(x, y);
    return `  ${name}: [${(px + disturbance[i]!).toFixed(6)}, ${py.toFixed(6)}]`;
  });
  return [
    'title: Panel',
    `drawing: ${drawing}`,
    'readings:',
    ...readings,
    'fit: {reading-sd: 0.06}',
    'cut: {clearance: 0.5, kerf: 0.2}',
    more,
    '',
  ].join('\n');
};
