/** Roles by touch: the sheet says what it takes shapes for, and a tap says otherwise. */
import type { JSX } from 'preact';
import type { Role } from '../../internal.js';
import { withYaml } from '../kept/job-edit.js';
import { alikeOf, rolesYaml } from '../kept/role-lines.js';
import { act, put, sheet } from '../sheet.js';
import { counted } from '../text.js';

const words: readonly (readonly [Role, string])[] = [
  ['mark', 'marks'],
  ['opening', 'openings'],
  ['outline', 'the panel’s edge'],
  ['unused', 'neither'],
];

const nameOf = (role: Role): string => words.find(([one]) => one === role)?.[1] ?? role;

/** Above the plan while roles are assumed, or being told. */
export const RoleStrip = (): JSX.Element | null => {
  const { shown, roles } = sheet;
  const { drawing } = shown;
  if (drawing === undefined) return null;
  if (roles !== undefined) return <Telling />;
  if (drawing.ways.length > 0)
    return (
      <section class="strip" aria-label="Which is which">
        <p>It is not certain what is what in this drawing. Take it as:</p>
        {drawing.ways.map(({ says, rolesLine }) =>
          rolesLine === undefined ? null : (
            <button type="button" key={says} onClick={() => take(rolesLine)}>
              {says}
            </button>
          ),
        )}
        <button type="button" onClick={() => put({ roles: { role: 'mark' } })}>
          Tell by touch
        </button>
      </section>
    );
  if (drawing.rolesLine === undefined && count('opening') > 0) return null;
  return (
    <section class="strip" aria-label="Which is which">
      <p>
        {count('opening') === 0
          ? 'Nothing says which shapes are openings.'
          : `${count('opening') === 1 ? 'This one is' : `These ${count('opening')} are`} taken for openings.`}{' '}
        {count('mark') === 0 ? 'Which are marks?' : `${counted(count('mark'), 'mark')} beside them.`}
      </p>
      <button
        type="button"
        onClick={() => put({ roles: { role: count('opening') === 0 ? 'opening' : 'mark' } })}
      >
        Tell by touch
      </button>
      {drawing.rolesLine === undefined ? null : (
        <button type="button" onClick={() => take(drawing.rolesLine!)}>
          It is so
        </button>
      )}
    </section>
  );
};

const count = (role: Role): number =>
  sheet.shown.drawing?.shapes.filter((shape) => shape.role === role).length ?? 0;

/** `roles: {...}` as the core proposes it. */
const take = (line: string): void =>
  act('roles', (work) => ({ ...work, job: withYaml(work.job, ['roles'], line.replace(/^roles:\s*/, '')) }));

const Telling = (): JSX.Element => {
  const { role, picked } = sheet.roles!;
  const shapes = sheet.shown.drawing?.shapes ?? [];
  const shape = shapes.find(({ id }) => id === picked);
  return (
    <section class="strip" aria-label="Roles by touch">
      <p>Tap what are</p>
      <span class="choices">
        {words.map(([one, word]) => (
          <button
            type="button"
            role="switch"
            aria-checked={one === role}
            key={one}
            onClick={() => put({ roles: { role: one } })}
          >
            {word}
          </button>
        ))}
      </span>
      {shape === undefined ? null : (
        <span class="choices">
          {alikeOf(shape, shapes).map(({ says, ids }) => (
            <button type="button" key={says} onClick={() => assign(ids, role)}>
              {ids.length === 1 ? says : `all ${ids.length} ${says}`}
            </button>
          ))}
        </span>
      )}
      <button type="button" class="done" onClick={() => put({ roles: undefined })}>
        Done
      </button>
      <p class="hint">
        {words
          .slice(0, 3)
          .map(([one]) => `${count(one)} ${nameOf(one)}`)
          .join(', ')}
      </p>
    </section>
  );
};

const assign = (ids: readonly string[], role: Role): void => {
  const shapes = sheet.shown.drawing?.shapes ?? [];
  const given = new Map(ids.map((id) => [id, role]));
  act('roles', (work) => ({ ...work, job: withYaml(work.job, ['roles'], rolesYaml(shapes, given)) }));
  put({ roles: { role } });
};
