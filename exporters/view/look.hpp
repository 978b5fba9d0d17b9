// SPDX-License-Identifier: GPL-3.0-or-later
// What drawings look like, read from templates/drawings.toml: pens, letters, papers and where things stand on a page.
#pragma once

#include <array>
#include <map>
#include <string>
#include <string_view>

#include "exporters/drawing/canvas.hpp"
#include "exporters/drawing/warning.hpp"

namespace peepwright::view {

struct Look {
  double margin_mm = 10;
  std::map<std::string, PageSize, std::less<>> papers;
  std::map<std::string, Stroke, std::less<>> pens;
  std::map<std::string, TextStyle, std::less<>> styles;

  struct Page {
    bool landscape = false;
    std::map<std::string, std::array<std::string, 4>, std::less<>> boxes;  ///< left, top, right, bottom
  };
  std::map<std::string, Page, std::less<>> pages;
  std::map<std::string, std::vector<std::string>, std::less<>> texts;

  // Each throws Error(internal) for a name that is not there.
  [[nodiscard]] const Stroke& pen(std::string_view name) const;
  [[nodiscard]] const TextStyle& style(std::string_view name) const;
  [[nodiscard]] const std::vector<std::string>& text(std::string_view name) const;
  /// `paper` as the page wants it, upright or on its side. Throws Error(input) for one that is not there.
  [[nodiscard]] PageSize size(std::string_view page, std::string_view paper) const;
  /// A box of a page on that size of paper.
  [[nodiscard]] Box box(std::string_view page, std::string_view name, PageSize size) const;
};

/// How a warning looks on a drawing.
WarningLook warning_look();

/// Throws Error(input) with line and column for what is missing, of the wrong type or unknown.
Look parse_look(std::string_view toml, const std::string& file_name);

/// The one built into the binary.
const Look& drawing_look();

}  // namespace peepwright::view
