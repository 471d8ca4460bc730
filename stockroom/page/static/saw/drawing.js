// The piece to scale, as it lies at the fence: its label's end left under a heavy mark, its back edge
// on top, rails with their ends, the one to cut now heavier, yellow and under a mark; those that are
// cut are ticked.

const SVG = "http://www.w3.org/2000/svg";
const TOP = 24;

export function draw(box, piece, half) {
  const width = box.clientWidth || 900;
  const height = Math.max(60, box.clientHeight || 110);
  const tall = height - TOP - 4;
  const scale = (width - 4) / piece.um;
  const picture = element("svg", { viewBox: `0 0 ${width} ${height}`, width, height, "aria-hidden": "true" });
  for (const part of piece.parts) {
    const x = 2 + part.start * scale;
    const w = Math.max(part.um * scale, 1);
    if (part.kind === "rail") picture.append(...railMarks(piece.rails[part.turn - 1], half, x, w, tall));
    else picture.append(...otherMarks(part, x, w, tall));
  }
  const next = picture.querySelector(".now");
  if (next) picture.append(next); // its heavy border lies over its neighbours'
  picture.append(element("rect", { class: "end", x: 2, y: TOP - 6, width: 8, height: tall + 6 }));
  box.replaceChildren(picture);
}

function railMarks(rail, half, x, w, tall) {
  const [first, last] = (rail.ends ?? [45, 45]).map((angle) => Math.min(tall * 0.7 * Math.tan(angle * Math.PI / 180), w / 3));
  const cut = rail.at <= half.done;
  const now = rail.at === half.done + 1;
  const spoilt = half.miscut.includes(rail.at);
  const group = element("g", { class: `rail${now ? " now" : cut ? " cut" : ""}` });
  const points = [[x, TOP], [x + w, TOP], [x + w - last, TOP + tall], [x + first, TOP + tall]];
  group.append(element("polygon", { points: points.map((p) => p.join(",")).join(" ") }));
  const middle = x + w / 2;
  if (now) group.append(element("path", { class: "mark", d: `M${middle - 14} 2h28l-14 18z` }));
  const mark = spoilt ? "✕" : cut ? "✓" : "";
  const text = w > 120 ? `${mark} ${rail.text}`.trim() : mark || (w > 34 ? `${rail.at}` : "");
  if (text) group.append(words(text, middle, TOP + tall / 2 + 8));
  return [group];
}

function otherMarks(part, x, w, tall) {
  const marks = [element("rect", { class: part.kind, x, y: TOP, width: w, height: tall })];
  if (part.kind === "flaw") {
    marks.push(element("path", { class: "cross", d: `M${x} ${TOP}l${w} ${tall}M${x + w} ${TOP}l${-w} ${tall}` }));
  }
  if ((part.kind === "leftover" || part.kind === "scrap") && w > 90) {
    marks.push(words(part.text, x + w / 2, TOP + tall / 2 + 8));
  }
  return marks;
}

function words(text, x, y) {
  const made = element("text", { x, y, "text-anchor": "middle" });
  made.textContent = text;
  return made;
}

function element(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}
