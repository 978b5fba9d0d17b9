// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/drawing/fonts.hpp"

#include <fontconfig/fontconfig.h>
#include <pango/pangofc-fontmap.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <mutex>
#include <vector>

#include "engine/quantity/error.hpp"

namespace peepwright::drawing {
namespace fs = std::filesystem;
namespace {

struct ConfigRelease {
  void operator()(FcConfig* c) const { FcConfigDestroy(c); }
};
using ConfigHandle = std::unique_ptr<FcConfig, ConfigRelease>;

std::string font_folders() {
  const char* wanted = std::getenv("PEEPWRIGHT_FONT_DIR");
  return wanted != nullptr && *wanted != '\0' ? wanted : PEEPWRIGHT_DEFAULT_FONT_DIR;
}

std::vector<std::string> font_files(const std::string& folder) {
  std::vector<std::string> files;
  std::error_code ignored;  // a folder that cannot be read has no fonts; the caller says so
  for (fs::directory_iterator it(folder, ignored), end; !ignored && it != end; it.increment(ignored)) {
    const std::string suffix = it->path().extension().string();
    const std::string stem = it->path().stem().string();
    // Of the fallback family two files: what else of it a machine has installed must not change the output.
    const bool unwanted = stem.starts_with("DejaVu") && stem != "DejaVuSans" && stem != "DejaVuSans-Bold";
    if ((suffix == ".otf" || suffix == ".ttf") && !unwanted) files.push_back(it->path().string());
  }
  std::sort(files.begin(), files.end());  // a folder's own order is not repeatable
  return files;
}

ConfigHandle load_fonts(const std::string& folders) {
  ConfigHandle config(FcConfigCreate());
  bool have_regular = false;
  for (std::size_t from = 0; from <= folders.size();) {
    const std::size_t to = std::min(folders.find(':', from), folders.size());
    for (const std::string& file : font_files(folders.substr(from, to - from))) {
      const bool good = FcConfigAppFontAddFile(config.get(), reinterpret_cast<const FcChar8*>(file.c_str())) != 0;
      have_regular = have_regular || (good && fs::path(file).stem() == "B612-Regular");
    }
    from = to + 1;
  }
  if (!have_regular)
    throw Error(ErrorCode::input, "The font file B612-Regular.otf was not found in \"" + folders +
                                      "\"; install the font B612 (Debian: fonts-b612) or name its folder in the "
                                      "environment variable PEEPWRIGHT_FONT_DIR.");
  return config;
}

int to_units(double mm) { return static_cast<int>(std::lround(mm * units_per_mm * PANGO_SCALE)); }
double to_mm(int units) { return units / (units_per_mm * PANGO_SCALE); }

}  // namespace

namespace {

/// Font maps that nobody draws with just now, by the folders they were loaded from. None is ever destroyed: Pango looks
/// fonts up in threads of its own, and one that ends while its map goes looks into a table that is gone (Pango 1.50,
/// seen once, on a busy machine). So there are as many as were in use at once.
class FontMaps {
 public:
  static FontMaps& all() {
    static FontMaps* const maps = new FontMaps;  // outlives every thread
    return *maps;
  }

  PangoFontMap* take(const std::string& folders) {
    {
      const std::lock_guard lock(mutex_);
      if (const auto found = idle_.find(folders); found != idle_.end()) {
        PangoFontMap* const map = found->second;
        idle_.erase(found);
        return map;
      }
    }
    const ConfigHandle config = load_fonts(folders);
    PangoFontMap* const map = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
    pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(map), config.get());
    return map;
  }

  void give_back(const std::string& folders, PangoFontMap* map) {
    const std::lock_guard lock(mutex_);
    idle_.emplace(folders, map);
  }

 private:
  std::mutex mutex_;
  std::multimap<std::string, PangoFontMap*> idle_;
};

}  // namespace

Fonts::Fonts() : folders_(font_folders()), map_(FontMaps::all().take(folders_)) {
  context_.reset(pango_font_map_create_context(map_));

  // Nothing may be rounded to pixels: the same line breaks and widths on every output and at every zoom.
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options(context_.get(), options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(context_.get(), FALSE);
  pango_context_set_language(context_.get(), pango_language_from_string("en"));
  pango_context_set_base_dir(context_.get(), PANGO_DIRECTION_LTR);
}

Fonts::~Fonts() {
  context_.reset();
  FontMaps::all().give_back(folders_, map_);
}

namespace {

/// A hyphen that begins a number is a minus sign, as wide as a plus.
std::string with_minus_signs(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool begins = i == 0 || text[i - 1] == ' ' || text[i - 1] == '\n' || text[i - 1] == '(';
    const bool number = i + 1 < text.size() && text[i + 1] >= '0' && text[i + 1] <= '9';
    if (text[i] == '-' && begins && number) out += "\u2212";
    else out += text[i];
  }
  return out;
}

}  // namespace

Handle<PangoLayout> Fonts::layout(const std::string& clean, const TextStyle& style, Across across) const {
  const std::string text = with_minus_signs(clean);
  Handle<PangoLayout> layout(pango_layout_new(context_.get()));
  PangoFontDescription* font = pango_font_description_new();
  pango_font_description_set_family_static(font, "B612");
  pango_font_description_set_weight(font, style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_style(font, style.italic ? PANGO_STYLE_ITALIC : PANGO_STYLE_NORMAL);
  pango_font_description_set_absolute_size(font, to_units(style.size_mm));
  pango_layout_set_font_description(layout.get(), font);
  pango_font_description_free(font);

  pango_layout_set_auto_dir(layout.get(), FALSE);
  pango_layout_set_alignment(layout.get(), across == Across::left    ? PANGO_ALIGN_LEFT
                                           : across == Across::right ? PANGO_ALIGN_RIGHT
                                                                     : PANGO_ALIGN_CENTER);
  PangoAttrList* attributes = pango_attr_list_new();
  pango_attr_list_insert(attributes, pango_attr_line_height_new_absolute(to_units(style.size_mm * style.line_spacing)));
  pango_layout_set_attributes(layout.get(), attributes);
  pango_attr_list_unref(attributes);

  if (style.wrap_mm > 0) {
    pango_layout_set_width(layout.get(), to_units(style.wrap_mm));
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
    if (style.max_lines > 0) {
      pango_layout_set_height(layout.get(), -style.max_lines);
      pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
    }
  }
  pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
  if (pango_layout_get_unknown_glyphs_count(layout.get()) > 0) {
    // A box with a number in it tells nobody anything.
    std::string shown;
    each_character(text, [&](const std::string& c) { shown += knows(c) ? c : "?"; });
    pango_layout_set_text(layout.get(), shown.data(), static_cast<int>(shown.size()));
  }
  return layout;
}

bool Fonts::knows(const std::string& character) const {
  if (character.size() == 1) return true;  // ASCII
  const Handle<PangoLayout> alone(pango_layout_new(context_.get()));
  PangoFontDescription* font = pango_font_description_from_string("B612");
  pango_layout_set_font_description(alone.get(), font);
  pango_font_description_free(font);
  pango_layout_set_text(alone.get(), character.data(), static_cast<int>(character.size()));
  return pango_layout_get_unknown_glyphs_count(alone.get()) == 0;
}

TextSize size_of(PangoLayout* layout) {
  PangoRectangle box;
  pango_layout_get_extents(layout, nullptr, &box);
  return {to_mm(box.width), to_mm(box.height), to_mm(pango_layout_get_baseline(layout)),
          pango_layout_get_line_count(layout), pango_layout_is_ellipsized(layout) != 0};
}

}  // namespace peepwright::drawing

namespace peepwright {

std::string clean_text(std::string_view text) {
  char* valid = g_utf8_make_valid(text.data(), static_cast<gssize>(text.size()));
  std::string out;
  for (const char* p = valid; *p != '\0'; p = g_utf8_next_char(p)) {
    const gunichar c = g_utf8_get_char(p);
    // Line and paragraph separators would start lines that nobody counted.
    const bool breaks = c != '\n' && (g_unichar_iscntrl(c) != 0 || c == 0x2028 || c == 0x2029);
    breaks ? out.append(1, ' ') : out.append(p, static_cast<std::size_t>(g_utf8_next_char(p) - p));
  }
  g_free(valid);
  return out;
}

std::string not_drawable(std::string_view text) {
  const std::string clean = clean_text(text);
  if (std::ranges::all_of(clean, [](char c) { return static_cast<unsigned char>(c) < 0x80; })) return {};
  const drawing::Fonts fonts;
  std::string out;
  drawing::each_character(clean, [&](const std::string& c) {
    if (!fonts.knows(c) && out.find(c) == std::string::npos) out += c;
  });
  return out;
}

}  // namespace peepwright
