// Puts in only what an answer changes, and only what is newest.
//
//   <form hx-get="…" data-only-changes>         a form whose answers are compared with those before
//   <section data-apart="price">…</section>     part of an answer that can be put in by itself,
//   <details id="price-lines">…</details>       as can everything that folds, and
//   <li id="check-spokes">…</li>                entries of lists with names
//
// An answer holds whole regions, of which a change alters little. Each part's markup is compared
// with what came last for the same place, before any of it is parsed; equal parts stay as they
// are, with what was typed, opened and focused in them. The first answer is put in whole.
//
// An answer that a newer change has overtaken is not put in, for its figures would stand beside
// another choice; only while one slider moves, all outside its form follows.
//
// What was typed stays while it is typed. Once it is left and answered it reads as it was taken:
// 3.14159 as 3.1, and an empty field as what counts instead.

const PARTIAL = /<hx-partial hx-target="([^"]+)" hx-swap="([^"]+)">(.*?)<\/hx-partial>/gs;
const TAG = /<(\/?)(section|details|summary|figcaption|div|p|li)\b([^>]*)>/g;
const WITH_ID = new Set(["details", "li"]);
const AT_ONCE = "settle:0";
const came = new WeakMap(); // by element: the parts of what was last put into it
const newest = new WeakMap(); // by asking element: its latest request
const compared = new WeakMap(); // by request: the regions of its answer
const TYPED = ":is(input:not([type]), [type=text], [type=number])";
const told = new WeakSet(); // newest requests whose answer stands on the page

// The regions of an answer: the form's own target first.
function regionsOf(ctx) {
  const further = [];
  const text = ctx.text.replace(PARTIAL, (_, place, swap, inner) => {
    further.push({ place, swap, text: inner });
    return "";
  });
  return [{ place: `#${ctx.target.id}`, swap: ctx.swap, text }, ...further];
}

function placeOf(name, attributes) {
  const apart = attributes.match(/\sdata-apart="([^"]+)"/);
  if (apart) return `[data-apart='${apart[1]}']`;
  const id = WITH_ID.has(name) ? attributes.match(/\sid="([^"]+)"/) : null;
  return id ? `#${CSS.escape(id[1])}` : "";
}

// Notes the parts of a region as a tree. `own` is the markup of each, with the places of further
// parts in their stead. False where tags do not pair or a place occurs twice: nothing can be told apart.
function divide(region, places) {
  const { text } = region;
  const open = [];
  let part = Object.assign(region, { own: "", within: [], inner: [0, text.length] });
  let at = 0;
  for (const { 0: head, 1: ends, 2: name, 3: attributes, index } of text.matchAll(TAG)) {
    const after = index + head.length;
    const tag = ends ? open.pop() : { name, place: placeOf(name, attributes), around: part };
    if (tag?.name !== name) return false;
    if (!ends) open.push(tag);
    if (!tag.place) continue;
    if (ends) {
      part.own += text.slice(at, index);
      part.inner[1] = index;
      part.outer[1] = after;
      part = tag.around;
    } else {
      if (places.has(tag.place)) return false;
      places.add(tag.place);
      part.own += `${text.slice(at, index)}<${tag.place}>`;
      part = { place: tag.place, head, own: "", within: [], inner: [after, after], outer: [index, after] };
      tag.around.within.push(part);
    }
    at = after;
  }
  region.own += text.slice(at);
  return open.length === 0;
}

// What to put in where: the parts of a region that differ from what came before.
function* differences(part, before, region) {
  const within = region.swap.replace("outer", "inner");
  const markup = (range) => region.text.slice(...range);
  if (part.own !== before.own) {
    yield { place: part.place, swap: part === region ? region.swap : within, markup: markup(part.inner) };
    return;
  }
  for (const [number, inside] of part.within.entries()) {
    const was = before.within[number];
    if (inside.head === was.head) yield* differences(inside, was, region);
    else yield { place: inside.place, swap: within.replace("inner", "outer"), markup: markup(inside.outer) };
  }
}

function isOneSlider(ctx, other) {
  const moved = ctx.sourceEvent.target;
  return moved === other.sourceEvent.target && moved.type === "range";
}

// Leaves of an answer what differs. What is noted as come counts only once it is put in.
function reduce(ctx, overtaken) {
  const regions = regionsOf(ctx).filter(({ place }) => !overtaken || !ctx.sourceElement.querySelector(place));
  const places = new Set();
  const apart = regions.every((region) => divide(region, places));
  const changes = regions.flatMap((region) => {
    const element = document.querySelector(region.place);
    const before = came.get(element);
    came.delete(element);
    if (apart && before) return [...differences(region, before, region)];
    return [{ place: region.place, swap: region.swap, markup: region.text }];
  });
  ctx.swap = "none"; // of the text outside its parts, which is empty now
  ctx.text = changes
    .map(({ place, swap, markup }) => `<hx-partial hx-target="${place}" hx-swap="${swap} ${AT_ONCE}">${markup}</hx-partial>`)
    .join("");
  if (apart) compared.set(ctx, regions);
}

document.addEventListener("htmx:config:request", ({ detail: { ctx } }) => {
  newest.set(ctx.sourceElement, ctx);
});
document.addEventListener("htmx:after:request", (event) => {
  const { ctx } = event.detail;
  const latest = newest.get(ctx.sourceElement);
  const overtaken = latest !== ctx;
  const finely = ctx.sourceElement.dataset.onlyChanges !== undefined && ctx.target?.id && !/<html/i.test(ctx.text);
  if (overtaken && !(finely && isOneSlider(ctx, latest))) event.preventDefault();
  else if (finely) reduce(ctx, overtaken);
});
document.addEventListener("htmx:after:swap", ({ detail: { ctx } }) => {
  for (const region of compared.get(ctx) ?? []) {
    const element = document.querySelector(region.place);
    if (element) came.set(element, region);
  }
  const form = ctx.sourceElement;
  if (!compared.has(ctx) || newest.get(form) !== ctx) return;
  told.add(ctx);
  for (const field of form.querySelectorAll(TYPED)) {
    if (field !== document.activeElement) field.value = field.defaultValue;
  }
});
document.addEventListener("focusout", ({ target }) => {
  if (target.matches(TYPED) && told.has(newest.get(target.form))) target.value = target.defaultValue;
});
