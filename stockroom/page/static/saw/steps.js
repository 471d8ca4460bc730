// The piece at the saw as plain values: how far it is cut, what went wrong, what should be left.
// Nothing here touches the page; each function gives a new state.

export const fresh = (plan, piece) => (
  { plan, piece, done: 0, miscut: [], remains: {}, instead: null, flaw: "", left: {} });

export const nextRail = (piece, half) => piece.rails[half.done] ?? null;

// How many rails after the next one come at the same stop.
export function moreAtStop(piece, half) {
  const rail = nextRail(piece, half);
  let many = 0;
  while (piece.rails[half.done + 1 + many]?.um === rail.um) many += 1;
  return many;
}

export const oneMore = (half) => ({ ...half, done: half.done + 1 });

export function oneBack(half) {
  if (Object.keys(half.left).length) return { ...half, left: {} };
  return { ...half, done: half.done - 1, miscut: half.miscut.filter((at) => at < half.done) };
}

// A rail that was spoilt went through the saw as well; um is what remains of it, null for all of
// it, 0 for scrap.
export const spoilt = (half, at, um) => ({
  ...half, done: Math.max(half.done, at), miscut: [...new Set([...half.miscut, at])].sort((a, b) => a - b),
  remains: { ...half.remains, [at]: um },
});

const remains = (half, at) => half.remains?.[at] ?? null;
const shorter = (half, rail) => (
  half.miscut.includes(rail.at) && remains(half, rail.at) ? rail.um - remains(half, rail.at) : 0);

export const uncut = (piece, half) => piece.rails.slice(half.done).map((rail) => rail.at);

// What each stretch should leave, um: as planned, and what was not cut comes back to it.
export function expected(piece, half) {
  return piece.left.map(({ um }, stretch) => um + piece.rails
    .filter((rail) => rail.stretch === stretch)
    .reduce((sum, rail) => sum + (rail.at > half.done ? rail.um + piece.allowance : shorter(half, rail)), 0));
}

// The stretches whose leftover the tape may tell: where something was cut.
export function stretchesCut(piece, half) {
  return [...new Set(piece.rails.slice(0, half.done).map((rail) => rail.stretch))];
}

// What is sent of a piece that was cut.
export function told(piece, half, measure, exactText) {
  const measured = Object.keys(half.left).length > 0;
  const leftover = measured ? expected(piece, half).map((um, stretch) => (
    stretch in half.left ? measure.withUnit(half.left[stretch]) : exactText(um))) : [];
  return {
    plan: half.plan, piece: half.piece, outcome: "cut", instead: half.instead,
    miscut: half.miscut.map((at) => (remains(half, at) === null ? at : `${at}=${exactText(remains(half, at))}`)),
    uncut: uncut(piece, half), leftover, flaw: half.flaw ? [half.flaw] : [],
  };
}
