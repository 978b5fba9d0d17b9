// SPDX-License-Identifier: GPL-3.0-or-later
#define POINTERHOLDER_TRANSITION 4
#include "tests/exporters/pdf_reader.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <sstream>
#include <stdexcept>

#include "engine/quantity/quantity.hpp"

namespace peepwright::test {
namespace {

constexpr double mm_per_point = unit::inch_mm / 72;

struct Matrix {
  double a = 1, b = 0, c = 0, d = 1, e = 0, f = 0;
  [[nodiscard]] At operator()(At p) const { return {a * p.x + c * p.y + e, b * p.x + d * p.y + f}; }
  /// This one first, then `next`.
  [[nodiscard]] Matrix then(const Matrix& next) const {
    return {a * next.a + b * next.c, a * next.b + b * next.d,          c * next.a + d * next.c,
            c * next.b + d * next.d, e * next.a + f * next.c + next.e, e * next.b + f * next.d + next.f};
  }
};

struct State {
  Matrix to_page;
  double line_width = 1;
  bool dashed = false;
};

/// The path operators of ISO 32000-1, 8.5; everything else is skipped.
class Content : public QPDFObjectHandle::ParserCallbacks {
 public:
  void handleObject(QPDFObjectHandle object) override {
    if (!object.isOperator()) {
      operands_.push_back(object);
      return;
    }
    step(object.getOperatorValue());
    operands_.clear();
  }
  void handleEOF() override {}

  std::vector<Painted> painted;

 private:
  double number(std::size_t i) { return operands_.at(i).getNumericValue(); }
  At point(std::size_t i) { return states_.back().to_page({number(i), number(i + 1)}); }

  void begin(At p) {
    paths_.emplace_back();
    paths_.back().points.push_back(p);
  }

  void add(At p) {
    if (paths_.empty()) throw std::runtime_error("a path goes on without a start");
    if (paths_.back().closed) begin(paths_.back().points.front());
    paths_.back().points.push_back(p);
  }

  void paint(bool fill, bool stroke) {
    for (Painted& path : paths_) {
      if (path.points.size() < 2) continue;
      path.filled = fill;
      path.stroked = stroke;
      path.dashed = states_.back().dashed;
      const Matrix& m = states_.back().to_page;
      path.line_width = states_.back().line_width * std::sqrt(std::abs(m.a * m.d - m.b * m.c)) * mm_per_point;
      for (At& p : path.points) p = {p.x * mm_per_point, p.y * mm_per_point};
      painted.push_back(path);
    }
    paths_.clear();
  }

  void step(const std::string& op) {
    if (op == "q") states_.push_back(states_.back());
    else if (op == "Q") states_.pop_back();
    else if (op == "cm")
      states_.back().to_page =
          Matrix{number(0), number(1), number(2), number(3), number(4), number(5)}.then(states_.back().to_page);
    else if (op == "w") states_.back().line_width = number(0);
    else if (op == "d") states_.back().dashed = operands_.at(0).getArrayNItems() > 0;
    else if (op == "m") begin(point(0));
    else if (op == "l") add(point(0));
    else if (op == "c") {
      for (const std::size_t i : {0u, 2u, 4u}) add(point(i));
      paths_.back().curved = true;
    } else if (op == "v" || op == "y") throw std::runtime_error("a curve form that is not read here");
    else if (op == "h") {
      if (!paths_.empty()) paths_.back().closed = true;
    } else if (op == "re") {
      const double x = number(0), y = number(1), w = number(2), h = number(3);
      const Matrix& m = states_.back().to_page;
      begin(m({x, y}));
      for (const At p : {At{x + w, y}, At{x + w, y + h}, At{x, y + h}}) add(m(p));
      paths_.back().closed = true;
    } else if (op == "S" || op == "s") paint(false, true);
    else if (op == "f" || op == "F" || op == "f*") paint(true, false);
    else if (op == "B" || op == "B*" || op == "b" || op == "b*") paint(true, true);
    else if (op == "n") paths_.clear();
    else if (op == "Do") throw std::runtime_error("the page draws another object, which is not read here");
  }

  std::vector<QPDFObjectHandle> operands_;
  std::vector<State> states_ = {State{}};
  std::vector<Painted> paths_;
};

std::string unescape(std::string text) {
  for (const auto& [from, to] : {std::pair{"&lt;", "<"}, {"&gt;", ">"}, {"&quot;", "\""}, {"&amp;", "&"}})
    for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; ++at)
      text.replace(at, std::string(from).size(), to);
  return text;
}

std::string between(const std::string& text, const std::string& before, const std::string& after) {
  const std::size_t from = text.find(before);
  const std::size_t to = from == std::string::npos ? from : text.find(after, from + before.size());
  if (to == std::string::npos) throw std::runtime_error("\"" + before + "\" is missing in: " + text);
  return text.substr(from + before.size(), to - from - before.size());
}

}  // namespace

void Extent::take(At p) {
  x0 = std::min(x0, p.x), x1 = std::max(x1, p.x);
  y0 = std::min(y0, p.y), y1 = std::max(y1, p.y);
}

Extent Painted::extent() const {
  Extent e;
  for (const At& p : points) e.take(p);
  return e;
}

std::vector<PdfPage> read_pdf(const std::string& pdf) {
  std::vector<PdfPage> out;
  QPDF document;
  document.processMemoryFile("sheet", pdf.data(), pdf.size());
  for (QPDFPageObjectHelper& page : QPDFPageDocumentHelper(document).getAllPages()) {
    PdfPage read;
    const auto box = page.getObjectHandle().getKey("/MediaBox").getArrayAsRectangle();
    if (box.llx != 0 || box.lly != 0) throw std::runtime_error("the page does not start at 0 0");
    read.width = box.urx * mm_per_point;
    read.height = box.ury * mm_per_point;
    Content content;
    page.parseContents(&content);
    read.paths = std::move(content.painted);
    out.push_back(std::move(read));
  }
  const ScratchFile file(pdf, ".pdf");
  std::istringstream lines(run("pdftotext -bbox '" + file.path() + "' -"));
  std::size_t page = 0;
  for (std::string line; std::getline(lines, line);) {
    if (line.find("<page ") != std::string::npos) ++page;
    if (line.find("<word ") == std::string::npos) continue;
    PdfPage& on = out.at(page - 1);
    const auto mm = [&](const char* name) {
      return std::stod(between(line, std::string(name) + "=\"", "\"")) * mm_per_point;
    };
    Word word{unescape(between(line, "\">", "</word>")), {}};
    word.box.take({mm("xMin"), on.height - mm("yMin")});
    word.box.take({mm("xMax"), on.height - mm("yMax")});
    on.words.push_back(std::move(word));
  }
  return out;
}

Raster rasterise(const std::string& pdf, int page, int dots_per_inch) {
  const ScratchFile file(pdf, ".pdf");
  std::ostringstream command;
  command << "pdftoppm -gray -r " << dots_per_inch << " -f " << page << " -l " << page << " '" << file.path() << "'";
  std::istringstream in(run(command.str()));
  Raster raster;
  std::string magic;
  int white = 0;
  in >> magic >> raster.width >> raster.height >> white;
  if (magic != "P5" || white != 255) throw std::runtime_error("pdftoppm gave no 8-bit grey picture");
  in.get();
  raster.grey.resize(static_cast<std::size_t>(raster.width) * raster.height);
  in.read(reinterpret_cast<char*>(raster.grey.data()), static_cast<std::streamsize>(raster.grey.size()));
  if (!in) throw std::runtime_error("the picture is cut short");
  raster.mm_per_pixel = unit::inch_mm / dots_per_inch;
  return raster;
}

std::string run(const std::string& command) {
  FILE* pipe = popen((command + " 2>/dev/null").c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("could not start: " + command);
  std::string out;
  std::array<char, 65536> buffer{};
  for (std::size_t n = 0; (n = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) out.append(buffer.data(), n);
  if (pclose(pipe) != 0) throw std::runtime_error("failed: " + command);
  return out;
}

ScratchFile::ScratchFile(const std::string& content, const std::string& suffix) {
  std::string name = testing::TempDir() + "/peepwright-XXXXXX" + suffix;
  const int file = mkstemps(name.data(), static_cast<int>(suffix.size()));
  if (file < 0) throw std::runtime_error("no scratch file");
  close(file);
  path_ = name;
  std::ofstream(path_, std::ios::binary) << content;
}

ScratchFile::~ScratchFile() { unlink(path_.c_str()); }

}  // namespace peepwright::test
