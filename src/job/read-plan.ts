/** The key `plan` of a job: what a pattern of marks may be made of. */
import { type Field, items, knownEntries, number, refused, text, word } from './fields.js';
import { type PlanSettings, type PlanUse, planUses } from './job.js';
import { lengthRule } from './read-machine.js';

const planKeys = ['marks', 'use', 'allowed', 'from-openings', 'from-edge', 'spacing', 'grid'] as const;

/** Two marks place a panel; beyond six the search would be long and the gain of a further one small. */
const countRule = { atLeast: 2, atMost: 6, next: 'Three or four marks serve most panels.' } as const;
/** Nobody sets out hundredths, and a coarser grid than a metre holds no panel. */
const gridRule = { unit: 'mm', atLeast: 0.05, atMost: 1000 } as const;

export const readPlan = (field: Field): PlanSettings => {
  const keys = knownEntries(field, planKeys);
  const length = (of: Field | undefined): number | undefined => (of ? number(of, lengthRule) : undefined);
  const marks = keys.marks ? number(keys.marks, countRule) : undefined;
  if (keys.marks && !Number.isInteger(marks)) {
    throw refused(keys.marks, 'a whole number', 'Write how many marks the plan is for: 2, 3 or 4.');
  }
  const settings = {
    marks,
    use: keys.use ? usesOf(keys.use) : undefined,
    allowed: keys.allowed ? text(keys.allowed, 'the name of a layer or shape of the drawing') : undefined,
    fromOpenings: length(keys['from-openings']),
    fromEdge: length(keys['from-edge']),
    spacing: length(keys.spacing),
    grid: keys.grid ? number(keys.grid, gridRule) : undefined,
  };
  return Object.fromEntries(Object.entries(settings).filter(([, value]) => value !== undefined));
};

const usesOf = (field: Field): PlanUse[] => {
  const parts = items(field, `a list of ${planUses.join(', ')}`);
  if (parts.length === 0) {
    throw refused(field, `at least one of ${planUses.join(', ')}`, 'Remove the key for marks on free land.');
  }
  return [...new Set(parts.map((part) => word(part, planUses)))];
};
