// Fetches and starts the program, and says in plain words why it could not.
// The content security policy allows no inline script, so the hashed names stand in two meta elements.
(() => {
  "use strict";

  const opening = document.getElementById("opening");
  const named = (name) => document.querySelector('meta[name="' + name + '"]').content;
  const address = (name) => new URL(named(name), document.baseURI).href;

  let refused = "";
  document.addEventListener("securitypolicyviolation", (event) => {
    refused = event.violatedDirective + ", " + event.blockedURI;
  });

  function paragraph(text, className) {
    const element = document.createElement("p");
    element.textContent = text;
    if (className) element.className = className;
    return element;
  }

  function explain(sentence, error) {
    const again = document.createElement("button");
    again.type = "button";
    again.textContent = "Load the page again";
    again.addEventListener("click", () => location.reload());
    const detail = refused ? "Refused: " + refused : String(error || "");
    opening.replaceChildren(
      paragraph("The practice room could not be opened."),
      paragraph(sentence),
      paragraph(detail, "detail"),
      again,
    );
    opening.setAttribute("role", "alert");
  }

  // The sentence travels with the error from where the cause is known.
  class Hindrance extends Error {
    constructor(sentence, cause) {
      super(cause ? String(cause) : "");
      this.sentence = sentence;
    }
  }

  async function glue() {
    try {
      return await import(address("program"));
    } catch (error) {
      throw new Hindrance("A script of the page did not arrive whole: the server may be missing a file, or have sent something else in its place.", error);
    }
  }

  async function code() {
    let response;
    try {
      response = await fetch(address("program-code"), { credentials: "same-origin" });
    } catch (error) {
      throw new Hindrance("The program did not arrive: the connection may be gone, or a filter in the network may hold it back.", error);
    }
    if (!response.ok) {
      throw new Hindrance("The program is missing on the server, which answered " + response.status + ".", response.url);
    }
    const type = (response.headers.get("Content-Type") || "").split(";")[0];
    if (type === "text/html") {
      throw new Hindrance("The server sent a web page where the program should be; the address or the upload may be incomplete.", response.url);
    }
    return response;
  }

  function sentenceFor(error) {
    if (error instanceof Hindrance) return error.sentence;
    if (refused || /Content.Security.Policy/i.test(String(error))) {
      return "The security policy of this site or network does not let WebAssembly run.";
    }
    if (error instanceof WebAssembly.CompileError || error instanceof WebAssembly.LinkError || error instanceof TypeError) {
      return "The program arrived incomplete or damaged. Loading the page again often helps.";
    }
    return "The program stopped while it was starting.";
  }

  async function start() {
    if (typeof WebAssembly !== "object") {
      explain("This browser has no WebAssembly, or it is switched off. A current browser, or one without its strictest setting, can run it.");
      return;
    }
    const before = document.body.childElementCount;
    try {
      const [module, response] = await Promise.all([glue(), code()]);
      await module["default"]({ module_or_path: response });
      if (document.body.childElementCount <= before) throw new Error("nothing was drawn");
      opening.remove();
    } catch (error) {
      explain(sentenceFor(error), error);
    }
  }

  start();
})();
