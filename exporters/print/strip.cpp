// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/print/strip.hpp"

#include <algorithm>

#include "engine/quantity/error.hpp"
#include "exporters/print/sheet.hpp"

namespace peepwright {
namespace print {
namespace {

void within(const char* what, double value, double low, double high, const char* mend) {
  if (value >= low && value <= high) return;
  throw Error(ErrorCode::input, std::string("The strip cannot be drawn: ") + what + " is " +
                                    mm_text(Length::mm(value), 2) + ", but must be between " +
                                    mm_text(Length::mm(low)) + " and " + mm_text(Length::mm(high)) + "; " + mend + ".");
}

}  // namespace

void check_strip(const StripData& d, const PrinterCorrection& correction) {
  constexpr auto measure = "measure it again";
  within("the peep mark above the top of the nock", d.mark_mm, 40, 1000,
         "check the face measures and the bow's numbers");
  within("the expanded uncertainty", d.expanded_uncertainty_mm, 0, 50, "measure the inputs that move the mark most");
  within("the nock height", d.nock_height_mm, 2, 25, measure);
  within("the string diameter", d.string_diameter_mm, 0.5, 6, measure);
  within("the peep body's length along the string", d.peep_body_length_along_string_mm, 2, 40, measure);
  within("the peep body's width", d.peep_body_width_mm, 2, widest_peep_body_mm, measure);
  within("the peep's bore", d.bore_mm, 0.4, std::min(d.peep_body_length_along_string_mm, d.peep_body_width_mm),
         "it cannot be larger than the body around it");
  within("the tie-in span", d.tie_span_mm, 0, 40, measure);
  const double foot = d.mark_mm - d.peep_body_length_along_string_mm / 2 - d.tie_span_mm;
  within("the lower end of the tie-in above the top of the nock", foot, 5, 1000,
         "shorten the tie-in span or check the peep mark");
  constexpr auto bar = "measure the check bar again, or set the printer to print without scaling";
  within("the length measured of the 100 mm bar across the page", correction.bar_measured_x_mm, 90, 110, bar);
  within("the length measured of the 100 mm bar up the page", correction.bar_measured_y_mm, 90, 110, bar);
}

namespace {

Canvas sheets(const StripData& data, Paper paper, const PrinterCorrection& correction) {
  check_strip(data, correction);
  return draw_sheets(strip_layout(), data, paper == Paper::a4 ? "a4" : "letter", correction);
}

}  // namespace
}  // namespace print

std::string strip_pdf(const StripData& data, Paper paper, const PrinterCorrection& correction) {
  return print::sheets(data, paper, correction).pdf({print::name_of(data), data.version});
}

std::vector<std::string> strip_svg(const StripData& data, Paper paper, const PrinterCorrection& correction,
                                   SvgLetters letters) {
  const Canvas canvas = print::sheets(data, paper, correction);
  std::vector<std::string> out;
  out.reserve(static_cast<std::size_t>(canvas.page_count()));
  for (int page = 0; page < canvas.page_count(); ++page) out.push_back(canvas.svg(page, letters));
  return out;
}

}  // namespace peepwright
