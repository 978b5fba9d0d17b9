// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/label_row.hpp"

#include <algorithm>

#include "engine/quantity/utf8.hpp"

namespace peepwright {
namespace {

using utf8::letters_in;

/// The first `most` letters; an ellipsis is one of them where some are left out.
std::string cut(const std::string& text, std::size_t most) {
  if (letters_in(text) <= most) return text;
  std::size_t seen = 0, end = 0;
  for (; end < text.size(); ++end)
    if (utf8::begins_letter(text[end]) && ++seen == most) break;
  while (end > 0 && (text[end - 1] == ' ' || text[end - 1] == ',')) --end;
  return text.substr(0, end) + "…";
}

}  // namespace

std::string label_row(const Canvas& canvas, const std::vector<std::string>& labels, const std::string& between,
                      const TextStyle& style) {
  std::vector<std::string> all;
  std::size_t longest = 0;
  for (const std::string& label : labels) {
    if (label.empty()) continue;
    all.push_back(clean_text(label));
    std::ranges::replace(all.back(), '\n', ' ');
    longest = std::max(longest, letters_in(all.back()));
  }
  constexpr std::size_t least = 6;
  const auto joined = [&](std::size_t most) {
    std::string out;
    for (const std::string& label : all) out += (out.empty() ? "" : between) + cut(label, most);
    return out;
  };
  std::size_t fits = std::min(least, longest);
  if (style.wrap_mm > 0 && style.max_lines > 0) {
    for (std::size_t low = fits, high = longest; low <= high;) {
      const std::size_t middle = (low + high) / 2;
      if (canvas.measure(joined(middle), style).shortened) high = middle - 1;
      else fits = middle, low = middle + 1;
    }
  } else {
    fits = longest;
  }
  return joined(fits);
}

}  // namespace peepwright
