export function mount(element, data) {
  element.textContent = `Play ${data.play}`;
}

export function mountAll(root = document) {
  for (const element of root.querySelectorAll(".se-player")) {
    const block = element.querySelector("script[type='application/json']");
    if (block) mount(element, JSON.parse(block.textContent));
  }
}

