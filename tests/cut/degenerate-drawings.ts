/** Drawings whose edges fall on one another, whose tips overlap or whose paths cross themselves: each went wrong once. */
import type { Shape } from '../../src/drawing/model/drawing.js';
import type { Segment } from '../../src/geometry/curve.js';
import { type CutSettings, circle, polygon, rectangle, roundedRectangle, shape } from './shapes.js';

/** A path from corners [x, y] and, where a cubic leaves the corner, its control points behind them. */
export const path = (...p: readonly (readonly number[])[]): Segment[] =>
  p.map((q, i): Segment => {
    const [x, y] = p[(i + 1) % p.length]!;
    const from = { x: q[0]!, y: q[1]! };
    const to = { x: x!, y: y! };
    if (q.length === 2) return { kind: 'line', from, to };
    return { kind: 'cubic', from, control1: { x: q[2]!, y: q[3]! }, control2: { x: q[4]!, y: q[5]! }, to };
  });

/** Title, openings, and how they are cut. */
export const degenerate: readonly [string, readonly Shape[], CutSettings][] = [
  [
    'islands that touch at a point',
    [shape('a', circle(0, 0, 20), circle(-5, 0, 5), circle(5, 0, 5))],
    { kind: 'inlay', clearance: 1 },
  ],
  [
    'two squares on a common edge, mitred inlay: tips overlap along one line',
    [shape('a', rectangle(0, 0, 4.9, 4.9)), shape('b', rectangle(0.5, -4.9, 3.9, 4.9))],
    { kind: 'inlay', clearance: 2, corners: 'mitre' },
  ],
  [
    'two triangles that overlap, mitred inlay',
    [
      shape(
        'a',
        polygon(
          [20.69767232489273, 14.609447254571736],
          [24.0316154046149, 14.730840487241332],
          [21.73649577611157, 15.7174696708379],
        ),
      ),
      shape(
        'b',
        polygon(
          [22.13302294479898, 11.37430325215761],
          [30.23853512507115, 21.12627532761359],
          [25.47474099593422, 17.573384193500473],
        ),
      ),
    ],
    { kind: 'inlay', clearance: 0.25, corners: 'mitre', mitreLimit: 2 },
  ],
  [
    'two tight cubics, mitred opening',
    [
      shape(
        'a',
        path(
          [2.170837180223316, 7.280299561331049],
          [
            2.3139005498960614, 6.563282939139754, 2.3920173924416304, 6.5416363787371665, 2.9404458079952747,
            6.579665258526802,
          ],
          [
            1.4625227560754865, 5.943608635803685, 1.5261686724030834, 4.88236187887378, 2.7360866211820394,
            5.605438307626173,
          ],
        ),
      ),
    ],
    { clearance: 1, corners: 'mitre' },
  ],
  [
    'triangle and two rounded rectangles, mitred opening',
    [
      shape(
        't',
        polygon(
          [-5.035668700775037, 1.4429291085137708],
          [11.434040471753011, 4.140817239062605],
          [5.839081952953703, 4.4288660670354885],
        ),
      ),
      shape('q', roundedRectangle(7.798278471454978, 2.617172736674547, 4, 4, 1)),
      shape(
        'r',
        roundedRectangle(5.541297264397144, 1.2047035954892635, 7.717387165187469, 7.952313402900472, 1.5),
      ),
    ],
    { clearance: 0.25, corners: 'mitre', mitreLimit: 10 },
  ],
  [
    'cubic and rounded square that overlap, mitred inlay',
    [
      shape(
        'a',
        path(
          [12.431632111780345, 6.284842762164772],
          [
            -3.1235676081851125, -1.3394469944760203, 9.303229860030115, 0.3186791306361556,
            13.079944927245378, 3.02206311468035,
          ],
          [4.9214594848454, 14.5091004492715],
        ),
      ),
      shape('b', roundedRectangle(3.3935455344617367, 5.801195232197642, 8, 8, 2)),
    ],
    { kind: 'inlay', clearance: 0.5, corners: 'mitre', mitreLimit: 2 },
  ],
  [
    'self-crossing cubics',
    [
      shape(
        'a',
        path(
          [11.881086659850553, 22.229549394221976],
          [
            11.404417824698612, 22.100850709481165, 10.560402235714719, 22.07298574433662, 13.479622166370973,
            22.604939009528607,
          ],
          [
            10.67600947804749, 21.799411298939958, 11.822044496890157, 21.113643863936886, 12.469488920643926,
            21.98666456504725,
          ],
        ),
      ),
    ],
    { clearance: 1, corners: 'mitre' },
  ],
];
