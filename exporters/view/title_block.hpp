// SPDX-License-Identifier: GPL-3.0-or-later
// What stands round the pictures of a drawing: title block (fields after ISO 7200), panel titles, scale bars.
#pragma once

#include <string>
#include <vector>

#include "exporters/view/look.hpp"
#include "exporters/view/side_view.hpp"

namespace peepwright::view {

std::string scale_text(double reduction);

struct Field {
  std::string kicker, text;
};

class TitleBlock {
 public:
  TitleBlock(Canvas& canvas, const Look& look, const Box& box) : canvas_(canvas), look_(look), box_(box), y_(box.y0) {}

  /// The second line's labels are each cut short where they are too long together.
  void heading(const std::string& title, const std::vector<std::string>& second);
  /// A row of cells, equally wide, or at the given shares of the width.
  void row(const std::vector<Field>& fields, std::vector<double> starts = {});
  /// The dashes of the sight lines.
  void legend(const std::vector<SightRay>& rays, PaperUnits units);
  /// What two dashes mean.
  void key(const std::string& pen, const std::string& text);
  /// A row of a table, without small print: cells at the given shares of the width.
  void line(const std::vector<std::string>& cells, const std::vector<double>& starts, bool bold = false);
  /// The frame round all rows.
  void close();
  [[nodiscard]] double y() const { return y_; }
  void rule();

 private:
  Canvas& canvas_;
  const Look& look_;
  Box box_;
  double y_;
};

void panel_title(Canvas& canvas, const Look& look, const Box& box, const std::string& words, double reduction);

/// What is forbidden, across the head of `area`; whole, unless it would leave too little room below: then without the
/// reasons, for which the fit sheet and the report are named. Returns where the pictures may begin.
double draw_warnings(Canvas& canvas, std::vector<Warning> warnings, const Box& area);

/// A divided bar of so many true centimetres at the given reduction; of inches, about as long, where these are wanted:
/// 4 in for 10 cm.
void draw_scale_bar(Canvas& canvas, const Look& look, Point left, double centimetres, double reduction,
                    PaperUnits units);

}  // namespace peepwright::view
