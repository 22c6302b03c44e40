// Men and the ways to the passer, on the field and enlarged.
const drawn = (now) => {
  const { men, rep, passer, at, active, value, exposure, ok } = now;

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
  function wayParts(side, to, wide) {
    const way = ok() ? value(side, "way") : null, who = value(side, "rusher");
    if (isNone(way) || isNone(who)) return [];
    const [x, y] = to(at(who)), parts = wayPath(way, who, to, exposure(side), SIDES[side]);
    if (wide) {
      const text = wide > 480 ? `exposure ${figure(exposure(side))}` : figure(exposure(side));
      const outward = side ? 1 : -1, space = side ? wide - x : x, turn = fits(text, space - 14, 11) ? 1 : -1;
      parts.push(label(x + 14 * outward * turn, y + 4, text, "se-small", outward * turn > 0 ? "start" : "end"));
    }
    return parts;
  }

  /** Whether a way of the rep's rusher is drawn as an edge's. */
  function isEdge(which) {
    return which === "outside" && ok() && SIDES.some((_, side) => value(side, "rusher") === rep.rusher);
  }

  /** The rep's rusher's outside or inside way, while its protector has him. */
  function wayOfRep(which, to, wide) {
    const way = (which === "outside" ? rep.way : rep.inside_way)[now.k], exposed = rep[`${which}_exposure`][now.k];
    if (isNone(way)) return [];
    const parts = wayPath(way, rep.rusher, to, exposed, `rep ${which}`);
    if (wide) {
      const [x, y] = to(at(rep.rusher));
      parts.push(label(x + 14, y + (which === "outside" ? -6 : 18), `${which} ${figure(exposed)}`, "se-small", "start"));
    }
    return parts;
  }

  /** The trade's marks: O for the offence (the passer's filled), a square for the centre, X for the defence. */
  function mark(i, [x, y], size) {
    const man = men[i], r = Math.max(MAN * size, 8.5);
    const out = svg("g", { class: `se-man ${active(i) ? "" : "se-idle"} ${man.role === "passer" ? "se-passer" : ""}` });
    if (man.mark === "X") {
      const arm = 0.62 * r;
      out.append(svg("path", { d: `M${x - arm},${y - arm}l${2 * arm},${2 * arm}m0,${-2 * arm}l${-2 * arm},${2 * arm}` }));
      out.append(label(x, y - r - 2, man.name, "se-name"));
      return out;
    }
    const sets = (ok() && SIDES.some((_, side) => value(side, "edge_man") === i)) || (rep && rep.protector === i);
    if (sets) out.append(svg("circle", { cx: x, cy: y, r: r + 4, class: "se-sets" }));
    out.append(man.slot === "C" ? svg("rect", { x: x - 0.9 * r, y: y - 0.9 * r, width: 1.8 * r, height: 1.8 * r })
      : svg("circle", { cx: x, cy: y, r }));
    const inside = man.name.length <= (r > 11 ? 3 : 2);
    out.append(label(x, inside ? y + 0.3 * Math.min(12, 0.85 * r) : y + r + 11, man.name, inside ? "se-inside" : "se-name"));
    if (inside) out.lastChild.style.fontSize = `${Math.min(12, man.name.length > 2 ? 0.7 * r : 0.85 * r)}px`;
    return out;
  }

  return { wayParts, isEdge, wayOfRep, mark };
};
