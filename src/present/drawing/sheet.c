/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/drawing/sheet.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "earshot/version.h"

static const double DEFAULT_WIDTH_PT = 760.0, LEAST_WIDTH_PT = 240.0, MOST_WIDTH_PT = 4000.0;
enum { MOST_IDS = 64 };
static const double MOST_HEIGHT_PT = 16000.0; /* image surfaces hold 32767 pixels */

void es_paper_size(earshot_paper paper, double *width_pt, double *height_pt)
{
    *width_pt = paper == EARSHOT_PAPER_LETTER ? 612.0 : 595.276;
    *height_pt = paper == EARSHOT_PAPER_LETTER ? 792.0 : 841.89;
}

/* ---- pens ---- */

/* Text is laid out the same on every surface: no hints, one unit a point. The font map is the pen's own, so that pens
 * of several threads do not meet. */
bool es_pen_open(es_pen *pen, cairo_surface_t *surface, earshot_language language)
{
    *pen = (es_pen){.cairo = cairo_create(surface), .language = language};
    cairo_surface_destroy(surface);
    if (cairo_status(pen->cairo) != CAIRO_STATUS_SUCCESS) {
        cairo_destroy(pen->cairo);
        *pen = (es_pen){.status = EARSHOT_MEMORY};
        return false;
    }
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pen->fonts = pango_cairo_font_map_new();
    pen->letters = pango_font_map_create_context(pen->fonts);
    pango_cairo_context_set_resolution(pen->letters, 72.0);
    pango_cairo_context_set_font_options(pen->letters, options);
    pango_context_set_language(pen->letters, pango_language_from_string(earshot_language_code(language)));
    cairo_font_options_destroy(options);
    return true;
}

void es_pen_close(es_pen *pen)
{
    if (!pen->cairo) return;
    cairo_surface_t *surface = cairo_surface_reference(cairo_get_target(pen->cairo));
    const cairo_status_t drawn = cairo_status(pen->cairo);
    cairo_destroy(pen->cairo);
    cairo_surface_finish(surface);
    const cairo_status_t finished = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    g_object_unref(pen->letters);
    g_object_unref(pen->fonts);
    if (pen->status == EARSHOT_OK && (drawn != CAIRO_STATUS_SUCCESS || finished != CAIRO_STATUS_SUCCESS)) {
        const bool memory = drawn == CAIRO_STATUS_NO_MEMORY || finished == CAIRO_STATUS_NO_MEMORY ||
                            drawn == CAIRO_STATUS_WRITE_ERROR || finished == CAIRO_STATUS_WRITE_ERROR;
        pen->status = memory ? EARSHOT_MEMORY : EARSHOT_INTERNAL;
    }
    *pen = (es_pen){.status = pen->status};
}

/* ---- files ---- */

cairo_status_t es_sheet_sink(void *text, const unsigned char *data, unsigned n)
{
    earshot_text *out = text;
    es_text_add_bytes(out, (const char *)data, n);
    return out->failed ? CAIRO_STATUS_WRITE_ERROR : CAIRO_STATUS_SUCCESS;
}

/* A date would make every file differ from the last; version 1.4 keeps the parts of a PDF where
 * es_pdf_state_language finds them. */
cairo_surface_t *es_pdf_surface(double width_pt, double height_pt, const char *title, earshot_text *out)
{
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(es_sheet_sink, out, width_pt, height_pt);
    cairo_pdf_surface_restrict_to_version(surface, CAIRO_PDF_VERSION_1_4);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "earshot " EARSHOT_VERSION);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "");
    return surface;
}

static cairo_surface_t *endless_surface(void)
{
    return cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, NULL);
}

earshot_status es_picture_height(const es_picture *picture, earshot_language language, double width_pt,
                                 double height_pt, double *used_pt)
{
    es_pen pen;
    if (!es_pen_open(&pen, endless_surface(), language)) return pen.status;
    *used_pt = picture->compose(&pen, picture->subject, width_pt, height_pt);
    es_pen_close(&pen);
    return pen.status;
}

static void draw_with_margin(es_pen *pen, const es_picture *picture, double width_pt)
{
    cairo_set_source_rgb(pen->cairo, 1.0, 1.0, 1.0);
    cairo_paint(pen->cairo);
    cairo_translate(pen->cairo, ES_PICTURE_MARGIN, ES_PICTURE_MARGIN);
    picture->compose(pen, picture->subject, width_pt - 2.0 * ES_PICTURE_MARGIN, INFINITY);
}

static void add_escaped(const char *words, earshot_text *out)
{
    for (; *words; words++) {
        if (*words == '&')
            es_text_add(out, "&amp;");
        else if (*words == '<')
            es_text_add(out, "&lt;");
        else
            es_text_add_char(out, *words);
    }
}

/* cairo numbers images and surfaces throughout the life of the program: the same picture drawn twice would differ. */
typedef struct renumber {
    size_t met[MOST_IDS];
    size_t n;
} renumber;

static size_t number_of(renumber *r, size_t id)
{
    for (size_t i = 0; i < r->n; i++)
        if (r->met[i] == id) return i;
    if (r->n < MOST_IDS) r->met[r->n++] = id;
    return r->n - 1;
}

/* Writes the number at `at` anew when a name that is numbered so stands before it; returns the bytes read. */
static size_t write_id(renumber *r, const char *from, const char *at, earshot_text *out)
{
    static const char *const NAME[] = {"image", "surface"};
    for (size_t i = 0; i < sizeof NAME / sizeof NAME[0]; i++) {
        const size_t n = strlen(NAME[i]), digits = strspn(at, "0123456789");
        if (digits == 0 || (size_t)(at - from) <= n || memcmp(at - n, NAME[i], n) != 0) continue;
        if (at[-(ptrdiff_t)n - 1] != '"' && at[-(ptrdiff_t)n - 1] != '#') continue;
        es_text_format(out, "%zu", number_of(r, strtoul(at, NULL, 10)));
        return digits;
    }
    return 0;
}

/* cairo writes coordinates with six decimals; two are finer than any eye. Only coordinates of paths and of letters are
 * shortened: factors of matrices need theirs. */
static void tidy(const char *at, const char *end, earshot_text *out)
{
    static const char *const BEFORE[] = {" d=\"", " x=\"", " y=\"", "rgb("};
    const char *from = at;
    renumber ids = {.n = 0};
    while (at < end) {
        size_t skip = 0;
        const size_t id = write_id(&ids, from, at, out);
        at += id;
        if (id) continue;
        for (size_t i = 0; i < sizeof BEFORE / sizeof BEFORE[0]; i++)
            if (strncmp(at, BEFORE[i], strlen(BEFORE[i])) == 0) skip = strlen(BEFORE[i]);
        if (skip == 0) {
            es_text_add_char(out, *at++);
            continue;
        }
        const char stop = at[skip - 1] == '"' ? '"' : ')';
        es_text_add_bytes(out, at, skip);
        for (at += skip; at < end && *at != stop; at++) {
            es_text_add_char(out, *at);
            if (*at != '.') continue;
            const size_t digits = strspn(at + 1, "0123456789");
            es_text_add_bytes(out, at + 1, digits < 2 ? digits : 2);
            at += digits;
        }
    }
}

/* cairo writes no title: it goes right behind the opening tag. */
static void copy_with_title(const earshot_text *svg, const char *title, earshot_language language, earshot_text *out)
{
    const char *tag = svg->data ? strstr(svg->data, "<svg") : NULL;
    const char *end = tag ? strchr(tag, '>') : NULL;
    if (!end) {
        out->failed = true;
        return;
    }
    es_text_add_bytes(out, svg->data, (size_t)(tag - svg->data));
    es_text_format(out, "<svg role=\"img\" xml:lang=\"%s\"", earshot_language_code(language));
    es_text_add_bytes(out, tag + 4, (size_t)(end + 1 - tag - 4));
    es_text_add(out, "\n<title>");
    add_escaped(title, out);
    es_text_add(out, "</title>");
    tidy(end + 1, svg->data + svg->size, out);
}

static earshot_status write_svg(const es_picture *picture, double width_pt, double height_pt, earshot_language language,
                                const char *title, earshot_text *out)
{
    es_pen pen;
    earshot_text svg = {0};
    cairo_surface_t *surface = cairo_svg_surface_create_for_stream(es_sheet_sink, &svg, width_pt, height_pt);
    if (!es_pen_open(&pen, surface, language)) return pen.status;
    draw_with_margin(&pen, picture, width_pt);
    es_pen_close(&pen);
    if (pen.status == EARSHOT_OK) copy_with_title(&svg, title, language, out);
    earshot_text_clear(&svg);
    return pen.status;
}

static earshot_status write_png(const es_picture *picture, double width_pt, double height_pt, earshot_language language,
                                earshot_text *out)
{
    es_pen pen;
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)ceil(width_pt * ES_PIXELS_A_POINT),
                                                          (int)ceil(height_pt * ES_PIXELS_A_POINT));
    cairo_surface_reference(surface);
    if (!es_pen_open(&pen, surface, language)) {
        cairo_surface_destroy(surface);
        return pen.status;
    }
    cairo_scale(pen.cairo, ES_PIXELS_A_POINT, ES_PIXELS_A_POINT);
    draw_with_margin(&pen, picture, width_pt);
    cairo_surface_flush(surface);
    if (pen.status == EARSHOT_OK &&
        cairo_surface_write_to_png_stream(surface, es_sheet_sink, out) != CAIRO_STATUS_SUCCESS)
        pen.status = EARSHOT_MEMORY;
    cairo_surface_destroy(surface);
    es_pen_close(&pen);
    return pen.status;
}

static void draw_page(es_pen *pen, const es_picture *picture, earshot_paper paper)
{
    double width_pt, height_pt;
    es_paper_size(paper, &width_pt, &height_pt);
    if (picture->wide) {
        const double side_pt = width_pt;
        width_pt = height_pt;
        height_pt = side_pt;
    }
    cairo_pdf_surface_set_size(cairo_get_target(pen->cairo), width_pt, height_pt);
    cairo_save(pen->cairo);
    cairo_translate(pen->cairo, ES_PAGE_MARGIN, ES_PAGE_MARGIN);
    picture->compose(pen, picture->subject, width_pt - 2.0 * ES_PAGE_MARGIN, height_pt - 2.0 * ES_PAGE_MARGIN);
    cairo_restore(pen->cairo);
    cairo_show_page(pen->cairo);
}

static earshot_status write_pdf(const es_picture *picture, size_t n, const earshot_picture_look *look,
                                const char *title, earshot_text *out)
{
    es_pen pen;
    double width_pt, height_pt;
    const size_t from = out->size;
    es_paper_size(look->paper, &width_pt, &height_pt);
    if (!es_pen_open(&pen, es_pdf_surface(width_pt, height_pt, title, out), look->language)) return pen.status;
    pen.round_scale = true;
    for (size_t i = 0; i < n; i++) draw_page(&pen, &picture[i], look->paper);
    es_pen_close(&pen);
    return pen.status ? pen.status : es_pdf_state_language(out, from, look->language);
}

earshot_status es_picture_write(const es_picture *picture, size_t n, const earshot_picture_look *look,
                                const char *title, earshot_text *out)
{
    const double width_pt = look->width_pt == 0.0 ? DEFAULT_WIDTH_PT : look->width_pt;
    const size_t before = out->size;
    double height_pt = 0.0;
    earshot_status status;
    if (n == 0 || (n > 1 && look->format != EARSHOT_PICTURE_PDF)) return EARSHOT_ARGUMENT;
    if (!(width_pt >= LEAST_WIDTH_PT && width_pt <= MOST_WIDTH_PT)) return EARSHOT_ARGUMENT;
    if (look->format == EARSHOT_PICTURE_PDF) {
        status = write_pdf(picture, n, look, title, out);
    } else {
        status = es_picture_height(picture, look->language, width_pt - 2.0 * ES_PICTURE_MARGIN, INFINITY, &height_pt);
        height_pt += 2.0 * ES_PICTURE_MARGIN;
        if (status == EARSHOT_OK && height_pt > MOST_HEIGHT_PT) status = EARSHOT_ARGUMENT;
        if (status == EARSHOT_OK && look->format == EARSHOT_PICTURE_SVG)
            status = write_svg(picture, width_pt, height_pt, look->language, title, out);
        else if (status == EARSHOT_OK)
            status = write_png(picture, width_pt, height_pt, look->language, out);
    }
    if (status == EARSHOT_OK && out->failed) status = EARSHOT_MEMORY;
    if (status != EARSHOT_OK && out->data) out->data[out->size = before] = '\0';
    return status;
}
