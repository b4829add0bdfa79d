// Soft bands: the density of a reading under one level, a plateau with Gaussian edges, and the mass of it beyond a bound.
import type { Band, Read } from '../rulebook/types.ts';

/** How far an open band reaches past its one edge in a logarithmic domain: 2.5 e-folds, a factor of 12. */
const OPEN_LOG = 2.5;
/** Smallest readable share of the expected value; a zero reading counts as this. */
const FLOOR_RATIO = 1e-4;
/** Same for absolute bands, as a share of the smallest finite band edge. */
const FLOOR_BOUND = 1e-3;
/** Edges are never harder than this (logarithmic domains). */
const LEAST_SPREAD = 0.02;
/** A band narrower than this many edge widths is a point with a Gaussian error. */
const NARROW = 0.1;
/** What one set's own right value varies by (ln 1.5, 0.8 to 1.2 of it); a wider normal band is of many designs. Judgement, no source. */
const OWN_RANGE = Math.log(1.5);
/** Designs further apart than this are told by other things than a fault (a plug's path with and without a transformer), e-folds. */
const MOST_DESIGNS = Math.log(50);
/** Designs that stand for all within a normal band. */
const DESIGNS = 4;
const ROOT_HALF = Math.SQRT1_2;
const INV_ROOT_2PI = 1 / Math.sqrt(2 * Math.PI);

/** A band in the domain of its scale; an open side keeps its plateau for ever. */
interface Plateau {
  readonly lo: number;
  readonly hi: number;
  readonly openBelow: boolean;
  readonly openAbove: boolean;
}

/** Bands of one read, in the domain where they are compared. */
export interface Domain {
  /** `log`: x = ln of what was read (over its reference); `linear`: x = what was read. */
  readonly kind: 'log' | 'linear';
  /** State -> plateaus, equally weighted. */
  readonly states: ReadonlyMap<string, readonly Plateau[]>;
  /** Lowest and highest x that any band reaches (open bands with their extension). */
  readonly from: number;
  readonly to: number;
  /** Highest finite edge: an over-range reading lies beyond it. */
  readonly topEdge: number;
  /** Lowest finite edge. */
  readonly bottomEdge: number;
  /** Smallest absolute value that is told from zero, in units of what was read over its reference. */
  readonly floor: number;
}

const domains = new WeakMap<Read, Domain>();

/** The bands of `read`, prepared once. */
export function domainOf(read: Read): Domain {
  let domain = domains.get(read);
  if (!domain) {
    domain = prepare(read);
    domains.set(read, domain);
  }
  return domain;
}

function prepare(read: Read): Domain {
  const kind = read.scale === 'difference' ? 'linear' : 'log';
  const edges = Object.values(read.bands)
    .flat(2)
    .filter((e): e is number => e !== null && Number.isFinite(e));
  const positive = edges.filter((e) => e > 0);
  const floor =
    read.scale === 'bound' ? FLOOR_BOUND * (positive.length > 0 ? Math.min(...positive) : 1) : FLOOR_RATIO;
  const place = (edge: number): number => (kind === 'log' ? Math.log(Math.max(edge, floor)) : edge);
  const finite = edges.map(place);
  const width = finite.length > 0 ? Math.max(...finite) - Math.min(...finite) : 0;
  const largest = Math.max(0, ...finite.map(Math.abs));
  const open = kind === 'log' ? OPEN_LOG : 2 * (width || largest || 1);
  const states = new Map(
    Object.entries(read.bands).map(([state, bands]) => [state, bands.map((b) => plateau(b, place, open))]),
  );
  if (kind === 'log' && read.signal) byDesign(states);
  const all = [...states.values()].flat();
  return {
    kind,
    states,
    from: all.length > 0 ? Math.min(...all.map((p) => p.lo)) : -open,
    to: all.length > 0 ? Math.max(...all.map((p) => p.hi)) : open,
    topEdge: finite.length > 0 ? Math.max(...finite) : 0,
    bottomEdge: finite.length > 0 ? Math.min(...finite) : 0,
    floor,
  };
}

/**
 * A normal band that holds what sets of many designs read says little of a fault within it: of a set whose own right value is 3 V
 * half of that is low, though 1.5 V is right in another. So `low` and `high` reach into a wide normal band, less the further in: their
 * inner edge is where it would be in each of a few designs. Changes `states`.
 */
function byDesign(states: Map<string, readonly Plateau[]>): void {
  const [normal, second] = states.get('normal') ?? [];
  if (!normal || second || normal.openBelow || normal.openAbove) return;
  const designs = normal.hi - normal.lo - OWN_RANGE;
  if (designs <= 0 || normal.hi - normal.lo > MOST_DESIGNS) return;
  const middle = (normal.lo + normal.hi) / 2;
  const steps = Array.from({ length: DESIGNS }, (_, n) => (designs * (n + 0.5)) / DESIGNS);
  for (const state of ['low', 'high']) {
    const bands = states.get(state) ?? [];
    const outer: Plateau = bands.reduce(
      (a, b) => (distance(b, middle) < distance(a, middle) ? b : a),
      bands[0] ?? normal,
    );
    if (outer === normal || distance(outer, middle) <= 0) continue;
    const reached = steps.map((step) =>
      outer.hi < middle ? { ...outer, hi: outer.hi + step } : { ...outer, lo: outer.lo - step },
    );
    // The other plateaus of the level keep their weight beside it.
    states.set(
      state,
      bands.flatMap((band) => (band === outer ? reached : Array.from({ length: DESIGNS }, () => band))),
    );
  }
}

/** How far a plateau is from x; 0 or less where it holds it. */
function distance({ lo, hi }: Plateau, x: number): number {
  return Math.max(lo - x, x - hi);
}

function plateau([low, high]: Band, place: (edge: number) => number, open: number): Plateau {
  if (low === null && high === null) return { lo: -open, hi: open, openBelow: true, openAbove: true };
  const a = low === null ? place(high ?? 0) - open : place(low);
  const b = high === null ? place(low ?? 0) + open : place(high);
  const [lo, hi] = a <= b ? [a, b] : [b, a];
  return { lo, hi: Math.max(hi, lo + 1e-6), openBelow: low === null, openAbove: high === null };
}

/** Softness of the edges that applies: never sharper than 2 % (log) or 1 % of the whole range (linear). */
export function edgeSoftness(domain: Domain, spread: number): number {
  return Math.max(spread, domain.kind === 'log' ? LEAST_SPREAD : 0.01 * (domain.to - domain.from));
}

/** Density at x under `state`; a state without bands gets the uniform density. */
export function density(domain: Domain, state: string, x: number, s: number): number {
  const bands = domain.states.get(state);
  if (!bands || bands.length === 0) return uniform(domain);
  let sum = 0;
  for (const { lo, hi, openBelow, openAbove } of bands) {
    if (hi - lo < NARROW * s) {
      const z = (x - (lo + hi) / 2) / s;
      sum += (INV_ROOT_2PI * Math.exp(-0.5 * z * z)) / s;
      continue;
    }
    const rise = openBelow ? 1 : normalCdf((x - lo) / s);
    const fall = openAbove ? 1 : normalCdf((hi - x) / s);
    // For x on one side of both edges the product form keeps relative precision where the difference of two tails would not.
    const inside =
      openBelow || openAbove
        ? rise * fall
        : x > (lo + hi) / 2
          ? normalCdf((hi - x) / s) - normalCdf((lo - x) / s)
          : normalCdf((x - lo) / s) - normalCdf((x - hi) / s);
    sum += Math.max(0, inside) / (hi - lo);
  }
  return sum / bands.length;
}

/** Probability of a value above x under `state`, 0 to 1. */
export function massAbove(domain: Domain, state: string, x: number, s: number): number {
  const bands = domain.states.get(state);
  if (!bands || bands.length === 0) return uniformAbove(domain, x);
  let sum = 0;
  for (const { lo, hi } of bands) {
    if (hi - lo < NARROW * s) sum += normalCdf(((lo + hi) / 2 - x) / s);
    else sum += (s / (hi - lo)) * (rampUp((hi - x) / s) - rampUp((lo - x) / s));
  }
  return Math.min(1, Math.max(0, sum / bands.length));
}

/** Density of a reading that could be anything. */
export function uniform(domain: Domain): number {
  return 1 / Math.max(1e-9, domain.to - domain.from);
}

/** Share of "anything" above x, kept off 0 and 1. */
export function uniformAbove(domain: Domain, x: number): number {
  return Math.min(0.95, Math.max(0.05, (domain.to - x) * uniform(domain)));
}

/** Standard normal distribution function, fractional error below 1.2e-7 also far out in the lower tail. */
export function normalCdf(z: number): number {
  return 0.5 * erfc(-z * ROOT_HALF);
}

/** Integral of the normal distribution function from minus infinity to z. */
function rampUp(z: number): number {
  return z * normalCdf(z) + INV_ROOT_2PI * Math.exp(-0.5 * z * z);
}

/** Complementary error function by a rational Chebyshev fit, fractional error below 1.2e-7 everywhere (Press et al., Numerical Recipes, section 6.2, 1992). */
function erfc(x: number): number {
  const a = Math.abs(x);
  const t = 1 / (1 + 0.5 * a);
  const p =
    -1.26551223 +
    t *
      (1.00002368 +
        t *
          (0.37409196 +
            t *
              (0.09678418 +
                t *
                  (-0.18628806 +
                    t *
                      (0.27886807 +
                        t * (-1.13520398 + t * (1.48851587 + t * (-0.82215223 + t * 0.17087277))))))));
  const tail = t * Math.exp(-a * a + p);
  return x >= 0 ? tail : 2 - tail;
}
