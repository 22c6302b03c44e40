// Men and the ways to the passer, on the field and enlarged.
const drawn = (now) => {
  const { men, passer, at, active, ofRep, value, exposure, ok } = now;

  /** A way: the arc's ends, radius and turn are the core's. */
  function wayPath(way, who, to, exposed, name) {
    const [x, y] = to(at(who)), goal = to(at(passer));
    let d = `M${x},${y}`;
    if (way) {
      const on = to([way[0] / 100, way[1] / 100]), off = to([way[2] / 100, way[3] / 100]);
      const radius = (way[4] / 100) * (to([1, 0])[0] - to([0, 0])[0]);
      d = `${way[5] & 2 ? "" : d}${way[5] & 2 ? "M" : "L"}${on}A${radius},${radius},0,${way[5] & 1},${(way[5] & 4) / 4},${off}`;
    }
    d += `L${goal}`;
    return [svg("path", { d, class: "se-casing" }), coloured(svg("path", { d, class: "se-way", "data-way": name }), exposed)];
  }

  /** The outside way of a side's rusher. */
  function wayParts(side, to) {
    const way = ok() ? value(side, "way") : null, who = value(side, "rusher");
    return isNone(way) || isNone(who) ? [] : wayPath(way, who, to, exposure(side), SIDES[side]);
  }

  /** The outside or inside way of the rep's rusher. */
  function wayOfRep(which, to) {
    const way = now.mine(which === "outside" ? "way" : "inside_way"), exposed = now.mine(`${which}_exposure`);
    return isNone(way) || !now.here(passer) ? [] : wayPath(way, now.rep.rusher, to, exposed, `rep ${which}`);
  }

  const radius = (size) => Math.max(MAN * size, 8.5);

  /** The trade's marks: O for the offence (the passer's filled), a square for the centre, X for the defence, of those
      who come with an arrowhead, from the snap on. A page of a rep draws its two men in full, all others faintly. */
  function mark(i, [x, y], size) {
    const man = men[i], r = radius(size), faint = now.rep ? !ofRep(i) && i !== passer : !active(i);
    const out = svg("g", { class: `se-man${faint ? " se-idle" : ""}${man.role === "passer" ? " se-passer" : ""}`, "data-man": man.id });
    if (man.mark === "X") {
      const arm = 0.62 * r;
      out.append(svg("path", { d: `M${x - arm},${y - arm}l${2 * arm},${2 * arm}m0,${-2 * arm}l${-2 * arm},${2 * arm}` }));
      if (man.role === "rusher") out.append(svg("path", { d: `M${x - 4.5},${y + arm + 3}l4.5,4l4.5,-4`, class: "se-came" }));
      return out;
    }
    const sets = now.rep ? now.rep.protector === i : ok() && SIDES.some((_, side) => value(side, "edge_man") === i);
    if (sets) out.append(svg("circle", { cx: x, cy: y, r: r + 4, class: "se-sets" }));
    out.append(man.slot === "C" ? svg("rect", { x: x - 0.9 * r, y: y - 0.9 * r, width: 1.8 * r, height: 1.8 * r })
      : svg("circle", { cx: x, cy: y, r }));
    return out;
  }

  /** Every man within the box of the placer, those that count last, each with his name where it hides nobody. */
  function marks(to, size, place, within) {
    const r = radius(size), counts = (i) => (ofRep(i) ? 3 : i === passer ? 2 : active(i) ? 1 : 0);
    const shown = men.map((_, i) => i).filter((i) => now.here(i) && within(to(at(i)))).sort((i, j) => counts(i) - counts(j));
    for (const i of shown) {
      const [x, y] = to(at(i)), half = men[i].mark === "X" ? 0.62 * r : r;
      place.take([x - half, y - half, x + half, y + half + (men[i].mark === "X" && men[i].role === "rusher" ? 9 : 0)], i);
    }
    const names = new Map([...shown].reverse().map((i) => [i, nameOf(i, to(at(i)), r, place)]));
    return shown.flatMap((i) => {
      const one = mark(i, to(at(i)), size);
      if (names.get(i)) one.append(names.get(i));
      return [one];
    });
  }

  function nameOf(i, [x, y], r, place) {
    const { name, mark: sign } = men[i], faint = now.rep && !ofRep(i) && i !== passer;
    if (sign === "O" && name.length <= (r > 11 ? 3 : 2)) {
      const size = Math.min(12, name.length > 2 ? 0.7 * r : 0.85 * r);
      const inside = place.write(name, [[x, y + 0.3 * Math.min(12, 0.85 * r)]], "se-inside", { size, bold: true, whose: i });
      if (inside) {
        inside.style.fontSize = `${size}px`;
        return inside;
      }
    }
    const tries = round([x, y], r);
    return place.write(name, sign === "X" || faint ? tries : [tries[1], ...tries], "se-name");
  }

  return { wayParts, wayOfRep, mark, marks };
};
