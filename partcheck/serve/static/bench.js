// Makes pages that work without it better: findings that come by themselves, forms that answer while one types.
"use strict";

async function fetched(address, signal) {
  const answer = await fetch(address, { headers: { accept: "text/html" }, signal });
  return answer.text();
}

// The list of boards: each is judged after the one before it, so that a slow one holds up nothing but those below.
async function judgeListed() {
  for (const item of document.querySelectorAll("[data-finding]")) {
    const place = item.querySelector(".found");
    item.setAttribute("aria-busy", "true");
    place.textContent = "being judged …";
    try {
      place.innerHTML = await fetched(item.dataset.finding);
    } catch {
      place.textContent = "The server does not answer; is it still running?";
    }
    item.removeAttribute("aria-busy");
  }
}

document.documentElement.classList.add("scripted");
judgeListed();
