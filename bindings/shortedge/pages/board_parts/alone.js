// A page of its own.
const holder = document.querySelector(".bd-alone");
const textOf = (name) => holder.querySelector(name).textContent;
themed();
window.board = mountBoard(holder, JSON.parse(textOf(".bd-start")), textOf(".bd-core")).catch((failure) => {
  holder.replaceChildren(html("p", { class: "bd-trouble", role: "alert" }, `This browser cannot open the board: ${failure.message}.`));
  throw failure;
});
