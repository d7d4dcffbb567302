// After something is done on a page, the page that comes back stands where it stood.
//
// A form that is sent notes how far its page was scrolled; the same page, when it comes within
// a while, goes there again. What went wrong is shown first: with an error summary nothing moves.

const KEPT = "place";
const WITHIN = 20_000; // [ms], a slow connection counted

// Storage can be refused by the browser; pages then begin at their top, as without this script.
function attempt(action) {
  try {
    return action();
  } catch {
    return null;
  }
}

document.addEventListener("submit", (event) => {
  if (event.target.method !== "post") return;
  const place = { path: location.pathname, y: Math.round(scrollY), at: Date.now() };
  attempt(() => sessionStorage.setItem(KEPT, JSON.stringify(place)));
});

const place = attempt(() => JSON.parse(sessionStorage.getItem(KEPT)));
attempt(() => sessionStorage.removeItem(KEPT));
if (place?.path === location.pathname && Date.now() - place.at < WITHIN && !document.getElementById("errors")) {
  scrollTo({ top: place.y, behavior: "instant" });
}
