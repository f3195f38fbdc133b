// Lessons: shows one frame after the other, and tells what is right. All frames were worked out beforehand; nothing is
// worked out here.
"use strict";
(() => {
const all = (root, query) => Array.from(root.querySelectorAll(query));
const button = (words, done) => {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  made.addEventListener("click", done);
  return made;
};
const bar = (name, ...buttons) => {
  const made = document.createElement("div");
  made.className = name;
  made.append(...buttons);
  return made;
};
const choice = (name, words, done) => {
  const made = document.createElement("label"), list = document.createElement("select");
  words.forEach((word, k) => list.add(new Option(word, String(k))));
  list.name = name;
  list.addEventListener("change", () => done(Number(list.value)));
  made.className = "cases";
  made.append(name, list);
  return made;
};
document.documentElement.classList.add("live");

// One lesson: which of its shows is seen, and how many steps of it.
const stepped = (lesson) => {
  const shows = all(lesson, ".show");
  let chosen = 0, step = 0, timer = 0;
  const last = () => Number(shows[chosen].dataset.steps);
  const see = () => {
    shows.forEach((show, k) => show.classList.toggle("now", k === chosen));
    all(shows[chosen], "[data-at]").forEach((part) => part.classList.toggle("now", Number(part.dataset.at) === step));
    all(shows[chosen], "[data-from]").forEach((part) => part.classList.toggle("now", Number(part.dataset.from) <= step));
    back.disabled = step === 0;
    on.disabled = step === last();
    play.textContent = timer ? "Stop" : step === last() ? "Again" : "Play";
  };
  const stop = () => { clearInterval(timer); timer = 0; };
  const go = (to) => { step = Math.max(0, Math.min(last(), to)); see(); };
  const back = button("Back", () => { stop(); go(step - 1); });
  const on = button("Next", () => { stop(); go(step + 1); });
  const play = button("Play", () => {
    if (timer) { stop(); see(); return; }
    if (step === last()) step = 0;
    timer = setInterval(() => { if (step === last()) { stop(); see(); } else go(step + 1); }, 1000);
    see();
  });
  on.classList.add("most");
  const where = lesson.querySelector(".shows");
  if (shows.length > 1) where.before(choice("Soil and pipes", shows.map((show) => show.dataset.name), (k) => { chosen = k; see(); }));
  where.after(bar("bar", back, play, on));
  see();
  return { on: () => on.click(), back: () => back.click() };
};

// The question: every answer is a button that tells why.
const asked = (lesson) => all(lesson, ".answers li").forEach((item) => {
  const words = item.firstElementChild;
  words.replaceWith(button(words.textContent, () => {
    all(lesson, ".answers li").forEach((other) => other.classList.toggle("said", other === item));
  }));
  item.querySelector(".why").setAttribute("role", "status");
});

const lessons = all(document, ".lesson");
const steps = lessons.map((lesson) => { asked(lesson); return stepped(lesson); });
const nearest = () => {
  const tops = lessons.map((lesson) => Math.abs(lesson.getBoundingClientRect().top));
  return tops.indexOf(Math.min(...tops));
};
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const step = steps[nearest()];
  if (event.key === "ArrowRight") step.on();
  if (event.key === "ArrowLeft") step.back();
});
const large = button("Large type", () => {
  const is = document.documentElement.classList.toggle("large");
  large.setAttribute("aria-pressed", String(is));
});
large.setAttribute("aria-pressed", "false");
const head = document.createElement("nav");
lessons.forEach((lesson) => {
  const title = lesson.querySelector("h2");
  head.append(button(title.textContent, () => lesson.scrollIntoView()));
});
head.append(large);
document.querySelector("header").append(head);
})();
