// The piece at the saw as plain values: how far it is cut, what went wrong, what should be left.
// Nothing here touches the page; each function gives a new state.

export const fresh = (plan, piece) => ({ plan, piece, done: 0, miscut: [], instead: null, flaw: "", left: {} });

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

// A rail that was spoilt went through the saw as well.
export const spoilt = (half, at) => ({
  ...half, done: Math.max(half.done, at), miscut: [...new Set([...half.miscut, at])].sort((a, b) => a - b),
});

export const uncut = (piece, half) => piece.rails.slice(half.done).map((rail) => rail.at);

// What each stretch should leave, um: as planned, and what was not cut comes back to it.
export function expected(piece, half) {
  return piece.left.map(({ um }, stretch) => um + piece.rails.slice(half.done)
    .filter((rail) => rail.stretch === stretch)
    .reduce((sum, rail) => sum + rail.um + piece.allowance, 0));
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
    miscut: half.miscut, uncut: uncut(piece, half), leftover, flaw: half.flaw ? [half.flaw] : [],
  };
}
