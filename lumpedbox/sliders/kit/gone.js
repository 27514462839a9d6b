// What a page says once its server, or the process behind it, no longer answers.
const WORDS =
  "The server has stopped: this page no longer answers, and keeps nothing any more. " +
  "What stands here is old. Write down what you typed, start the server again, and open the page from there.";
const OFTEN = 10000; // ms
const ENDED = ["dead", "terminating", "restarting", "autorestarting"];

function tell(gone) {
  let said = document.querySelector(".lb-gone");
  if (!said) {
    said = document.createElement("div");
    said.className = "lb-gone";
    said.setAttribute("role", "alert");
    document.body.prepend(said);
  }
  document.body.classList.toggle("lb-nothing-kept", gone);
  if (said.textContent !== (gone ? WORDS : "")) said.textContent = gone ? WORDS : "";
}

// Whether the server still has the process: it may have ended without a word.
async function missing({ id, serverSettings: { baseUrl, token } }) {
  const asked = await fetch(`${baseUrl}api/kernels/${id}`, token ? { headers: { Authorization: `token ${token}` } } : {});
  return asked.status === 404;
}

export default {
  render({ model }) {
    const kernel = model.widget_manager.kernel;
    let ended = false;
    const look = () => tell(ended || kernel.connectionStatus !== "connected");
    const changed = (_kernel, status) => {
      ended ||= ENDED.includes(status);
      look();
    };
    const ask = async () => {
      try {
        ended ||= await missing(kernel);
        look();
      } catch {
        tell(true);
      }
    };
    kernel.connectionStatusChanged.connect(look);
    kernel.statusChanged.connect(changed);
    const asking = setInterval(ask, OFTEN);
    look();
    return () => {
      clearInterval(asking);
      kernel.connectionStatusChanged.disconnect(look);
      kernel.statusChanged.disconnect(changed);
    };
  },
};
