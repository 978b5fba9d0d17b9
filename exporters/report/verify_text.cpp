// SPDX-License-Identifier: GPL-3.0-or-later
#include <cmath>

#include "engine/quantity/paper_text.hpp"
#include "exporters/report/report.hpp"
#include "exporters/report/text_lines.hpp"

namespace peepwright {
namespace {

/// What is left to find out when a correction is smaller than its give or take.
void write_what_decides(Text& text, const Verification& v, std::string_view move, std::string_view way) {
  const TiedReading& r = v.reading;
  if (v.face_decides && !r.eye_to_arrow) {
    text.line(
        "Measure the eye above the arrow and give it with --eye-to-arrow: settle head upright, eyes closed, not\n"
        "aiming through the peep, then read.");
  } else if (!v.face_decides && !(r.mark && r.height_full_draw)) {
    text.line("Measure mark and height at full draw, and give both.");
  } else if (!v.face_decides) {
    text.line("Measure mark and height again, and read the string's angle at full draw (bow.full_draw.string_angle).");
  } else {
    // Everything that is asked for was measured: now the archer decides, and a small move can be tried.
    text.line(
        "The archer decides: settles upright, at ease, eyes closed, then looks. The whole sight round in\n"
        "the peep: leave it{}.",
        r.comfortable ? "" : " (and give --comfortable)");
    text.line("Lifting or dropping the head to see through: move it {} {}, tie lightly, measure again.", move, way);
  }
}

}  // namespace

std::string verification_text(const Verification& v, PaperUnits units) {
  Text text;
  const std::string move = length_text(std::abs(v.move_mm), units);
  const std::string_view way = v.move_mm > 0 ? "UP the string" : "DOWN the string";
  switch (v.verdict) {
    case MoveVerdict::leave:
      text.line("LEAVE IT: by all that was measured the peep is {} off, less than the {} one can tie to.",
                fine_text(std::abs(v.move_mm), units), fine_text(v.tolerance_mm, units));
      if (!v.reading.height_full_draw && !v.reading.eye_to_arrow)
        text.line(
            "Only the mark was read: the peep is tied where the fit puts it. Whether it suits shows at full draw:\n"
            "measure the peep above the arrow there and give --height too.");
      if (v.reading.eye_to_arrow || v.reading.comfortable)
        // An eye that aims through a peep stands where that peep puts it.
        text.line("That holds for a head that settled with eyes closed: aiming through it finds any peep right.");
      break;
    case MoveVerdict::move: text.line("MOVE the peep {} {}.", move, way); break;
    case MoveVerdict::not_sure_enough:
      text.line("NOT DECIDED: the peep seems {} too {}, but that is less than the give or take.", move,
                v.move_mm > 0 ? "low" : "high");
      write_what_decides(text, v, move, way);
      break;
  }
  text.line("\n  correction      {}, give or take {} (k = 2)", fine_text(v.move_mm, units, 1, true),
            fine_text(v.move_uncertainty_mm, units));
  const std::string estimated = length_text(v.tied_mark_mm, units);
  if (!v.reading.mark)
    text.line("  tied now        {}, the mark of the fit: none was measured (--mark, or peep.tied in a file)",
              estimated);
  else
    text.line("  tied now        {} as measured, {} as all readings together have it",
              length_text(v.reading.mark->mm(), units), estimated);
  text.line("  better mark     {}", length_text(v.better_mark_mm, units));
  text.line("  upper leg       {:.2f} deg before, {:.2f} ± {:.2f} deg with what was measured",
            degrees(v.leg_angle_before_rad), degrees(v.leg_angle_rad), degrees(v.leg_angle_sd_rad));
  if (units == PaperUnits::inches) {
    text.line("  peep the face wants above the arrow  {} before,", length_text(v.wanted_height_before_mm, units));
    text.line("                  {} ± {} with what was measured", length_text(v.wanted_height_mm, units),
              fine_text(v.wanted_height_sd_mm, units));
  } else {
    text.line("  peep the face wants above the arrow  {:.1f} mm before, {:.1f} ± {:.1f} mm with what was measured",
              v.wanted_height_before_mm, v.wanted_height_mm, v.wanted_height_sd_mm);
  }
  write_cautions(text);
  return text.take();
}

}  // namespace peepwright
