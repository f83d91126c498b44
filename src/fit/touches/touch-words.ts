/** Why touches do not place a part, in sentences, and what to touch next. */
import type { Point } from '../../geometry/point.js';
import { spanPoint } from '../../geometry/spans/span.js';
import type { Model } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import type { TouchEdge } from '../../marks/touch-edge.js';
import type { TouchReadings } from '../../marks/touches.js';
import { nothingStated, type Orientation, otherAxes, otherFace } from '../doubts/remedies.js';
import type { Fit, FitFailure, Observation } from '../fit.js';
import { type Placement, placed, turnOfPlacement } from '../solve/placement.js';
import { meanReading } from '../solve/uncertainty.js';
import { inWords, listed, mm } from '../words.js';
import type { FreeMotion } from './free-motion.js';
import { unknownRims } from './mixed-fit.js';
import { designPointOf } from './touch-rows.js';

/** What the messages of an adjustment need beyond its readings. */
export interface TouchContext {
  /** True bed mm -> display. Absent: the same. */
  readonly toDisplay?: (p: Point) => Point;
  /** Edges that another touch could be on, design after `face`; asked for only where one is needed. */
  readonly touchable?: () => readonly TouchEdge[];
  /** A fit of nearly the same readings: it is followed from there, and other ways to lie are not asked about again. */
  readonly near?: Pick<Fit, 'model' | 'matrix' | 'centre'>;
  /** What the job says of face and axes. */
  readonly stated?: Orientation;
}

interface Placed {
  readonly placement: Placement;
}

export interface Placements {
  readonly chosen: Placed;
  readonly others: readonly Placed[];
}

interface TellingPlace {
  readonly edge: TouchEdge;
  /** True bed mm. */
  readonly at: Point;
  readonly away: number;
}

/** An edge that lies less than this apart in two placements, mm, is no place to tell them apart by. */
const tellingDistance = 1;
/** Places of an edge that are looked at for one. */
const placesPerEdge = 96;
/** More ways round than this are not listed. */
const mostListed = 4;

export class TouchWords {
  private readonly touches: readonly TouchReadings[];
  private readonly observations: readonly Observation[];
  private readonly model: Model;
  private readonly context: TouchContext;

  constructor(
    touches: readonly TouchReadings[],
    observations: readonly Observation[],
    model: Model,
    context: TouchContext,
  ) {
    this.touches = touches;
    this.observations = observations;
    this.model = model;
    this.context = context;
  }

  tooFew(rows: number, unknowns: number, rims: number): FitFailure {
    const radii = rims === 0 ? '' : `, ${inWords(rims)} of them ${rims === 1 ? 'a radius' : 'radii'}`;
    const missing = unknowns - rows;
    const more = this.observations.length === 0 ? 3 : missing;
    return {
      reason: `${capital(this.counted())} give ${rows} ${rows === 1 ? 'coordinate' : 'coordinates'}, and ${article(this.model)} ${this.model} fit has ${unknowns} unknowns${radii}.`,
      cure: `Touch at least ${inWords(missing)} more ${missing === 1 ? 'place' : 'places'}, better ${inWords(missing + more)}, on edges that run different ways, or read a mark.`,
    };
  }

  noFit(): FitFailure {
    return {
      reason: `No way to lay the part was found in which ${this.counted()} lie on their edges.`,
      cure: `Check which edge each touch was on, ${this.whetherMirrored()}, and the readings themselves.`,
    };
  }

  free(motion: FreeMotion): FitFailure {
    switch (motion.kind) {
      case 'slide': {
        const degrees = (motion.direction * 180) / Math.PI;
        const way =
          Math.min(degrees, 180 - degrees) < 10
            ? 'to the left and right'
            : Math.abs(degrees - 90) < 10
              ? 'up and down'
              : `at ${degrees.toFixed(0)} degrees to the x axis`;
        return {
          reason: `The part could slide ${way} with every touch still on its edge: the edges that were touched all run that way.`,
          cure: 'Touch an edge that runs across it, or read a mark.',
        };
      }
      case 'turn':
        return {
          reason: `The part could turn about ${this.at(motion.about)} with every touch still on its edge: the edges that were touched all lie round that place.`,
          cure: 'Touch an edge that does not, an opening away from the middle say, or read a mark.',
        };
      case 'size':
        return {
          reason: `The touches do not tell the size that ${article(this.model)} ${this.model} fit asks for.`,
          cure: 'Use the model rigid, or touch edges on opposite sides of the part.',
        };
      case 'radius': {
        const name = unknownRims(this.touches)[motion.rim]?.name ?? '';
        return {
          reason: `The touches on ${name} do not tell its radius.`,
          cure: `Touch ${name} on opposite sides, or state its radius.`,
        };
      }
    }
  }

  /** `byMarks`: it is the marks alone that say so. */
  stray(stray: readonly { readonly touch: number; readonly away: number }[], byMarks: boolean): FitFailure {
    const one = stray[0]!;
    const name = capital(this.touches[one.touch]!.touch);
    if (byMarks) {
      const many = stray.length === this.touches.length && stray.length > 1;
      return {
        reason: many
          ? `Every touch lies away from its edge where the marks put it, ${this.touches[one.touch]!.touch} by ${mm(one.away)}.`
          : `${name} lies ${mm(one.away)} from that edge where the marks put it.`,
        cure: many
          ? `Check the readings of the marks, and ${this.whetherMirrored()}.`
          : 'Check which edge was touched, and touch it again.',
      };
    }
    if (stray.length === 1)
      return {
        reason: `${name} lies ${mm(one.away)} from that edge where the other readings put it.`,
        cure: 'Check which edge was touched, and touch it again.',
      };
    return {
      reason: `No way to lay the part brings every touch near its edge; the best leaves ${this.touches[one.touch]!.touch} ${mm(one.away)} away.`,
      cure: `Check which edge each touch was on, ${this.whetherMirrored()}, and the readings themselves.`,
    };
  }

  otherFace(): FitFailure {
    return {
      reason:
        'No way to lay the part brings every touch near its edge; with its mirror image there is one: on its other face, or on a display that counts y the other way.',
      cure: this.mirrorCure(),
    };
  }

  /** A display that counts y downwards, unsaid, is likelier than a part that lies on its face unknown to who reads it. */
  private mirrorCure(): string {
    const { stated = nothingStated } = this.context;
    const both = [otherAxes(stated), otherFace(stated)];
    const steps = (stated.axesAssumed ? both : both.reverse()).map(({ step }) => step);
    return `${capital(steps[0]!)}; or ${steps[1]}.`;
  }

  private whetherMirrored(): string {
    const { stated = nothingStated } = this.context;
    const face = `whether the part lies face ${stated.face === 'up' ? 'down (face: down)' : 'up (face: up)'}`;
    return stated.axesAssumed ? `which way the display counts y (axes: y-down), ${face}` : face;
  }

  ambiguous(placements: Placements): FitFailure {
    const { others } = placements;
    return {
      reason: `${capital(this.counted())} fit ${others.length < 9 ? inWords(others.length + 1) : 'ten and more'} placements equally well: ${this.ways(placements)}.`,
      cure: `${this.telling(placements)} Or say on two touches about where on the drawing they were, with start: [x, y].`,
    };
  }

  decided(placements: Placements): Warning {
    return {
      code: 'ambiguous-pattern',
      message: `The touches alone fit as well ${this.ways(placements)}; what was stated as start decided. ${this.telling(placements)}`,
    };
  }

  eitherFace(chosen: Placed, over: Placed): Warning {
    const place = this.tellingPlace(chosen, over, true);
    const otherwise =
      place === undefined
        ? ''
        : `; or drive the pointer to ${this.at(place.at)}: ${place.edge.name} has an edge there if it lies as stated, and none within ${mm(place.away)} otherwise`;
    return {
      code: 'ambiguous-pattern',
      otherFace: true,
      message: `The touches fit as well with the part on its other face; what the job says of its face decided. Look at the part${otherwise}.`,
    };
  }

  /** `turned by 180.0 degrees`, against the first of them. */
  private ways({ chosen, others }: Placements): string {
    const first = chosen.placement;
    const middle = meanReading(this.allReadings());
    const at = designPointOf(first, middle);
    const descriptions = others.map(({ placement }) => {
      const turn = ((turnOfPlacement(placement) - turnOfPlacement(first)) * 180) / Math.PI;
      const degrees = ((turn % 360) + 360) % 360;
      const to = placed(placement, at);
      const x = to.x - middle.x;
      const y = to.y - middle.y;
      if (Math.min(degrees, 360 - degrees) < 1) {
        const turned =
          Math.min(degrees, 360 - degrees) < 0.05 ? '' : ` and turned by ${turn.toFixed(1)} degrees`;
        return { degrees, text: `shifted by ${mm(Math.hypot(x, y))}${turned}` };
      }
      // The one place that a turn leaves where it is.
      const half = 1 / Math.tan((degrees * Math.PI) / 360);
      const about = { x: middle.x + (x - y * half) / 2, y: middle.y + (y + x * half) / 2 };
      return { degrees, text: `turned by ${degrees.toFixed(1)} degrees about ${this.at(about)}` };
    });
    descriptions.sort((a, b) => a.degrees - b.degrees);
    if (descriptions.length <= mostListed)
      return listed(
        descriptions.map((s) => s.text),
        'or',
      );
    const some = [0, 1, 2].map((k) => descriptions[Math.floor((k * (descriptions.length - 1)) / 2)]!.text);
    return `${listed(some)}, and ${descriptions.length - some.length} more ways between`;
  }

  /** Where a touch would tell the first placement from the one after it. */
  private telling({ chosen, others }: Placements): string {
    const best = this.tellingPlace(chosen, others[0]!, false);
    if (best === undefined) return 'No drawn edge tells them apart: look at the part, or read a mark.';
    const { edge, at, away } = best;
    const turn = (turnOfPlacement(chosen.placement) * 180) / Math.PI;
    return `To tell, drive the pointer to ${this.at(at)}: ${edge.name} has an edge there if the part lies turned by ${turn.toFixed(1)} degrees, and none within ${mm(away)} otherwise; add that touch or a mark.`;
  }

  /** Where on the part the edges of both placements lie farthest from each other. */
  private tellingPlace(chosen: Placed, other: Placed, mirrored: boolean): TellingPlace | undefined {
    let best: TellingPlace | undefined;
    for (const edge of this.context.touchable?.() ?? []) {
      for (const q of placesOn(edge)) {
        const at = placed(chosen.placement, q);
        const there = designPointOf(other.placement, at);
        const away = edge.index.distance(mirrored ? -there.x : there.x, there.y);
        if (away > (best?.away ?? tellingDistance)) best = { edge, at, away };
      }
    }
    return best;
  }

  private at(p: Point): string {
    const { x, y } = this.context.toDisplay?.(p) ?? p;
    return `(${x.toFixed(1)}, ${y.toFixed(1)})`;
  }

  /** `two marks and three touches`. */
  private counted(): string {
    const marks = this.observations.length;
    const touches = this.touches.length;
    const both = [
      ...(marks === 0 ? [] : [`${inWords(marks)} ${marks === 1 ? 'mark' : 'marks'}`]),
      `${inWords(touches)} ${touches === 1 ? 'touch' : 'touches'}`,
    ];
    return both.join(' and ');
  }

  private allReadings(): Point[] {
    return [...this.observations.flatMap((o) => o.readings), ...this.touches.flatMap((t) => t.readings)];
  }
}

const placesOn = ({ index }: TouchEdge): Point[] => {
  const every = Math.max(1, Math.floor(index.spans.length / placesPerEdge));
  const perSpan = Math.max(1, Math.floor(placesPerEdge / index.spans.length));
  return index.spans.flatMap((span, i) =>
    i % every === 0 ? Array.from({ length: perSpan }, (_, k) => spanPoint(span, (k + 0.5) / perSpan)) : [],
  );
};

const capital = (text: string): string => text.replace(/^./, (c) => c.toUpperCase());

const article = (model: Model): string => (model === 'affine' ? 'an' : 'a');
