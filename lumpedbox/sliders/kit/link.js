// The link that a live page was asked for. One that is still to be written is remembered in this tab: so a page that is
// loaded again before goes on where it stood.
const COMING = `lumpedbox link of ${location.pathname}`;
const isLive = () => Boolean(document.body.dataset.voila), linkWritten = () => location.hash.slice(1);

function linkAsked() {
  const written = isLive() ? linkWritten() : "";
  try {
    const { instead, link } = JSON.parse(sessionStorage.getItem(COMING)) ?? {};
    return instead === written ? link : written;
  } catch {
    return written; // the reader has closed the store
  }
}
function linkIsComing(link) {
  try {
    if (link === linkWritten()) sessionStorage.removeItem(COMING);
    else sessionStorage.setItem(COMING, JSON.stringify({ instead: linkWritten(), link }));
  } catch {
    // it is written soon
  }
}
