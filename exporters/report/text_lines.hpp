// SPDX-License-Identifier: GPL-3.0-or-later
// How every text report is laid out. Private to the room.
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <string>
#include <string_view>
#include <utility>

#include "engine/quantity/format.hpp"
#include "engine/spec/spec.hpp"
#include "exporters/report/report.hpp"

namespace peepwright {

/// Lines of a report, gathered.
class Text {
 public:
  template <class... Args>
  void line(fmt::format_string<Args...> format, Args&&... args) {
    fmt::format_to(std::back_inserter(out_), format, std::forward<Args>(args)...);
    out_ += '\n';
  }
  void heading(std::string_view words) { line("\n{}", words); }

  /// A sentence under a mark, wrapped at 96 columns.
  void item(std::string_view mark, std::string_view sentence) {
    constexpr std::size_t width = 96;
    std::string row = fmt::format("  {} ", mark);
    const std::string indent(row.size(), ' ');
    bool empty = true;
    for (std::size_t at = 0; at < sentence.size();) {
      const auto end = std::min(sentence.find(' ', at), sentence.size());
      const std::string_view word = sentence.substr(at, end - at);
      if (!empty && row.size() + 1 + word.size() > width) {
        line("{}", row);
        row = indent;
        empty = true;
      }
      if (!empty) row += ' ';
      row += word;
      empty = false;
      at = end + 1;
    }
    line("{}", row);
  }
  std::string take() { return std::move(out_); }

 private:
  std::string out_;
};

inline void write_cautions(Text& text) {
  text.heading("Cautions");
  for (const std::string& caution : cautions()) text.item("!", caution);
}

inline std::string length_text(double mm, PaperUnits units) { return both_text(Length::mm(mm), units); }

inline std::string title_of(const Spec& spec) {
  const std::string out = joined_labels({spec.archer_label, spec.bow_label, spec.arrow_label}, ", ");
  return out.empty() ? "unnamed fit" : out;
}

/// "60.0 lbf (266.9 N)", the wanted one first.
inline std::string force_text(double newtons, PaperUnits units) {
  const std::string n = number_text(newtons, 1) + " N", lbf = number_text(Force::n(newtons).lbf(), 1) + " lbf";
  return units == PaperUnits::inches ? lbf + " (" + n + ")" : n + " (" + lbf + ")";
}

/// "98.5 J (72.7 ft lbf)"
inline std::string energy_text(double joules, PaperUnits units) {
  const std::string j = number_text(joules, 1) + " J";
  const std::string foot_pounds = number_text(joules * 1000 / (unit::pound_force_n * unit::foot_mm), 1) + " ft lbf";
  return units == PaperUnits::inches ? foot_pounds + " (" + j + ")" : j + " (" + foot_pounds + ")";
}

/// "85.3 m/s (280 ft/s)"
inline std::string speed_text(double m_s, PaperUnits units) {
  const std::string metric = number_text(m_s, 1) + " m/s", feet = number_text(Speed::m_s(m_s).ft_s(), 0) + " ft/s";
  return units == PaperUnits::inches ? feet + " (" + metric + ")" : metric + " (" + feet + ")";
}

}  // namespace peepwright
