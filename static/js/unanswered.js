// When no answer comes: says so beside what was changed, keeps what was typed, marks what still
// shows the choice before, and asks again by itself and on a press.
//
//   <template id="unanswered-words">…</template>          the words, in base.html
//   <form hx-get="…" data-answers="build build-picture">  what shows its answer; else its hx-target
//
// A request is asked again as it is until it is answered or a newer change takes its place, so
// the answer that is shown at last is that of the last change. A form that is posted whole is held
// back while nobody is seen to answer; it is never sent again by itself.

const PATIENCE = 20000; // [ms] for one try
const SLOW = 400; // [ms] after which what is shown counts as old
const PAUSES = [2000, 4000, 8000, 16000, 30000]; // [ms] between tries, the last one for all further
const ALIVE = "/health";
const FRESH = 3000; // [ms] for which it counts that somebody answered

const waiting = new Map(); // by target: what is being asked, and what was said of it

function clone(name) {
  const words = document.getElementById("unanswered-words");
  return words.content.querySelector(`[data-words="${name}"]`).cloneNode(true);
}

function beside(element) {
  return element.closest("[data-unanswered-here], fieldset, .field, .choice, li, p, label, td") ?? element;
}

function regionsOf(ctx) {
  const form = ctx.sourceElement.closest("form");
  const named = form?.dataset.answers?.split(" ").map((id) => document.getElementById(id));
  return (named ?? [ctx.target]).filter((region) => region instanceof Element);
}

function sayWhy(notice) {
  for (const words of notice.querySelectorAll("[data-when]")) {
    words.hidden = (words.dataset.when === "offline") === navigator.onLine;
  }
}

function fieldChanged(ctx) {
  const changed = ctx.sourceEvent?.target;
  return changed instanceof Element && changed.isConnected ? changed : ctx.sourceElement;
}

// Beside the changed field; the first word about a region says that it shows the choice before.
function tell(state, ctx) {
  const place = beside(fieldChanged(ctx));
  place.classList.add("is-unanswered");
  state.places.add(place);
  state.notice ??= clone("notice");
  state.notice.querySelector("[data-again]").onclick = () => state.again?.();
  sayWhy(state.notice);
  if (state.notice.previousElementSibling !== place) place.after(state.notice);
  for (const region of regionsOf(ctx)) {
    region.classList.add("is-old");
    if (!region.querySelector(":scope > [data-words='old']")) region.prepend(clone("old"));
  }
}

function clear(state, ctx) {
  const pressed = state.notice?.contains(document.activeElement);
  state.notice?.remove();
  if (pressed) fieldChanged(ctx).focus();
  for (const place of state.places) place.classList.remove("is-unanswered");
  for (const region of regionsOf(ctx)) {
    region.classList.remove("is-old");
    region.removeAttribute("aria-busy");
    region.querySelector(":scope > [data-words='old']")?.remove();
  }
}

function busy(ctx) {
  for (const region of regionsOf(ctx)) region.setAttribute("aria-busy", "true");
}

// One attempt: the complete answer, or null. It is read to its end, since it may break off.
async function attempt(address, request) {
  const trial = new AbortController();
  const stop = () => trial.abort();
  const timer = setTimeout(stop, PATIENCE);
  request.signal?.addEventListener("abort", stop, { once: true });
  try {
    const found = await fetch(address, { ...request, signal: trial.signal });
    if (found.status >= 500) return { pause: 1000 * Number(found.headers.get("Retry-After") ?? 0) };
    const { status, headers } = found;
    const body = await found.text();
    return { response: { status, headers, ok: found.ok, url: found.url, text: async () => body } };
  } catch (error) {
    if (request.signal?.aborted) throw error;
    return { pause: 0 };
  } finally {
    clearTimeout(timer);
    request.signal?.removeEventListener("abort", stop);
  }
}

// Waits until it is time, somebody presses, or the connection is back; ends at a newer change.
function pause(state, milliseconds, signal) {
  return new Promise((resolve, reject) => {
    const settle = (done) => () => {
      clearTimeout(timer);
      window.removeEventListener("online", go);
      done(signal?.reason);
    };
    const go = settle(resolve);
    const timer = setTimeout(go, milliseconds);
    state.again = go;
    window.addEventListener("online", go);
    signal?.addEventListener("abort", settle(reject), { once: true });
  });
}

async function answered(ctx, address, request) {
  const before = waiting.get(ctx.target);
  if (before && before.ctx !== ctx) before.ctx.request.abort?.();
  const state = { ctx, begun: performance.now(), places: before?.places ?? new Set(), notice: before?.notice };
  waiting.set(ctx.target, state);
  const slow = setTimeout(() => busy(ctx), SLOW);
  try {
    for (let tries = 0; ; tries += 1) {
      const found = await attempt(address, request);
      if (found.response) {
        clear(state, ctx);
        waiting.delete(ctx.target);
        return found.response;
      }
      tell(state, ctx);
      await pause(state, Math.max(found.pause, PAUSES[Math.min(tries, PAUSES.length - 1)]), request.signal);
    }
  } finally {
    clearTimeout(slow);
  }
}

// What is asked while an answer is awaited waits for it, but not for one that is late.
document.addEventListener("htmx:config:request", (event) => {
  const before = waiting.get(event.detail.ctx.target);
  if (before && performance.now() - before.begun > SLOW) before.ctx.request.abort();
});
document.addEventListener("htmx:before:request", (event) => {
  const { ctx } = event.detail;
  ctx.fetch = (address, request) => answered(ctx, address, request);
});

// Forms that are posted whole: the browser's own page of an error would lose what was typed. While
// one is filled in it is seen now and then whether anybody answers; only if not, sending waits.
const sending = new WeakMap(); // by form: "asked" while it is seen whether anybody answers
let alive = true;
let checkedAt = -Infinity;

async function checkAlive() {
  checkedAt = performance.now();
  const found = await attempt(ALIVE, { cache: "no-store" });
  alive = Boolean(found.response?.ok);
  return alive;
}

function isPosted(form) {
  return form?.getAttribute("method")?.toLowerCase() === "post";
}

async function send(form, submitter) {
  sending.set(form, "asked");
  form.querySelector("[data-words='unsent']")?.remove();
  if (await checkAlive()) {
    sending.set(form, "sent");
    form.requestSubmit(submitter);
    sending.delete(form);
    return;
  }
  sending.delete(form);
  const notice = clone("unsent");
  sayWhy(notice);
  notice.querySelector("[data-again]").onclick = () => send(form, submitter);
  const place = submitter?.isConnected ? beside(submitter) : form.lastElementChild;
  if (form.contains(place) && place !== form) place.after(notice);
  else form.append(notice);
}

document.addEventListener("input", (event) => {
  if (isPosted(event.target.form) && performance.now() - checkedAt > FRESH) checkAlive();
});
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!isPosted(form) || event.defaultPrevented || sending.get(form) === "sent") return;
  if (alive && navigator.onLine) return;
  event.preventDefault();
  if (!sending.has(form)) send(form, event.submitter);
});
