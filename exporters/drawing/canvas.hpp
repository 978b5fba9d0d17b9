// SPDX-License-Identifier: GPL-3.0-or-later
// A drawing in true millimetres, recorded once and then written as PDF, SVG or PNG. Page origin is the upper
// left corner, y points down. The same calls give the same bytes on every run.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "exporters/drawing/path.hpp"

namespace peepwright {

/// Red, green, blue from 0 to 1.
struct Colour {
  double r = 0, g = 0, b = 0;
  static constexpr Colour grey(double v) { return {v, v, v}; }
};

enum class LineEnd { butt, round, square };

/// How a line looks. `dash` holds lengths of marks and gaps in mm; empty means a whole line.
struct Stroke {
  double width_mm = 0.25;
  Colour colour;
  std::vector<double> dash;
  LineEnd end = LineEnd::butt;
};

/// Parallel lines that fill an area, so that an area can be told apart without colour.
struct Hatch {
  double spacing_mm = 1;  ///< square to the lines, > 0
  double angle_deg = 45;  ///< 0: along x; turns anticlockwise as seen on the page
  Stroke stroke;
};

/// The part of a text that its position names; `baseline` is that of the first line.
enum class Across { left, centre, right };
enum class Down { top, middle, bottom, baseline };

/// How a text looks and wraps.
struct TextStyle {
  double size_mm = 3;  ///< em size
  bool bold = false;
  bool italic = false;
  Colour colour;
  double line_spacing = 1.25;  ///< baseline to baseline, in em
  double wrap_mm = 0;          ///< > 0: wrap at this width
  int max_lines = 0;           ///< > 0 with wrap_mm: shorten with an ellipsis to fit
};

/// Where a text stands. Rotation is about the anchor, anticlockwise as seen, degrees.
struct TextPlace {
  Point at;
  Across across = Across::left;
  Down down = Down::top;
  double rotation_deg = 0;
};

/// What a text takes up before rotation, mm.
struct TextSize {
  double width = 0, height = 0;
  double baseline = 0;  ///< from the top to the first baseline
  int lines = 0;
  bool shortened = false;  ///< an ellipsis stands for the rest
};

/// What letters become in SVG: outlines, which every program shows alike and none can search or edit; or text, its font
/// named and the letters used embedded, for programs that search, edit or translate.
enum class SvgLetters { outlines, text };

/// Bytes that are no UTF-8 become U+FFFD; control characters other than '\n' become spaces.
std::string clean_text(std::string_view text);

/// The characters of `text`, each once, that none of our fonts has and that are drawn as "?". Throws as Canvas().
std::string not_drawable(std::string_view text);

/// A text that was drawn: upright box round it on the page, and what it says.
struct TextBox {
  std::string text;
  Box box;
};

struct PageSize {
  double width_mm = 0, height_mm = 0;
};

/// What a PDF says of itself.
struct DocumentInfo {
  std::string title, creator;
};

class Canvas {
 public:
  /// Starts without pages. `text_as_paths` draws letters as outlines in PDF too.
  /// Fonts: B612, from the folders of the environment variable PEEPWRIGHT_FONT_DIR (colon between folders;
  /// later ones serve for letters that earlier ones lack), else from the folder found when this was built.
  /// Throws Error(input) when there is no B612.
  explicit Canvas(bool text_as_paths = false);
  ~Canvas();
  Canvas(Canvas&&) noexcept;

  /// What follows goes on this new page. Throws Error(internal) unless both sides are within 1 mm … 5 m.
  void new_page(PageSize size);
  [[nodiscard]] int page_count() const;
  [[nodiscard]] PageSize page_size(int page) const;

  // All of these throw Error(internal) without a page and on numbers that are not finite.
  void stroke(const Path& path, const Stroke& stroke);
  void line(Point a, Point b, const Stroke& stroke);
  void fill(const Path& path, Colour colour);
  void hatch(const Path& area, const Hatch& hatch);

  // Texts are cleaned by clean_text; a character that no font has becomes "?".
  [[nodiscard]] TextSize measure(std::string_view text, const TextStyle& style) const;
  Box text(std::string_view text, const TextStyle& style, const TextPlace& place);
  /// The box that `text` would take, without drawing it.
  [[nodiscard]] Box text_box(std::string_view text, const TextStyle& style, const TextPlace& place) const;

  /// The texts of a page (from 0), in drawing order.
  [[nodiscard]] const std::vector<TextBox>& texts(int page) const;

  /// All pages. Dated by SOURCE_DATE_EPOCH, else 1 January 1980. Viewers are asked not to scale.
  [[nodiscard]] std::string pdf(const DocumentInfo& info) const;
  /// One page, in mm, view box equal to the size. As text, letters stand above everything else on the page.
  [[nodiscard]] std::string svg(int page, SvgLetters letters = SvgLetters::outlines) const;
  /// One page on white, in shades of grey where it has no colour. Throws Error(input) when the picture would have more
  /// than 20 000 pixels a side.
  [[nodiscard]] std::string png(int page, double dots_per_inch) const;

 private:
  struct Record;
  std::unique_ptr<Record> record_;
};

}  // namespace peepwright
