/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/drawing/letters.h"

static const double SPACING = 1.12; /* of lines in a paragraph */

PangoLayout *es_letters_layout(es_pen *pen, const char *words, es_type type, double width_pt)
{
    PangoLayout *layout = pango_layout_new(pen->letters);
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family_static(font, "DejaVu Sans, Sans");
    pango_font_description_set_weight(font, type.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_absolute_size(font, type.size_pt * PANGO_SCALE);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    pango_layout_set_text(layout, words, -1);
    /* A ligature of f and l is another character: whoever searches a PDF for "floor" would not find it. */
    PangoAttrList *features = pango_attr_list_new();
    pango_attr_list_insert(features, pango_attr_font_features_new("liga=0"));
    pango_layout_set_attributes(layout, features);
    pango_attr_list_unref(features);
    if (width_pt >= 0.0) {
        pango_layout_set_width(layout, (int)(width_pt * PANGO_SCALE));
        pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
        pango_layout_set_line_spacing(layout, (float)SPACING);
        pango_layout_set_alignment(layout, type.align == ES_RIGHT    ? PANGO_ALIGN_RIGHT
                                           : type.align == ES_CENTRE ? PANGO_ALIGN_CENTER
                                                                     : PANGO_ALIGN_LEFT);
    } else {
        pango_layout_set_single_paragraph_mode(layout, TRUE);
    }
    return layout;
}

static void size_of(PangoLayout *layout, double *width_pt, double *height_pt)
{
    int width, height;
    pango_layout_get_size(layout, &width, &height);
    *width_pt = (double)width / PANGO_SCALE;
    *height_pt = (double)height / PANGO_SCALE;
}

void es_letters_size(es_pen *pen, const char *words, es_type type, double *width_pt, double *height_pt)
{
    PangoLayout *layout = es_letters_layout(pen, words, type, -1.0);
    size_of(layout, width_pt, height_pt);
    g_object_unref(layout);
}

static void show(es_pen *pen, double x, double y, PangoLayout *layout)
{
    cairo_move_to(pen->cairo, x, y);
    pango_cairo_show_layout(pen->cairo, layout);
    cairo_new_path(pen->cairo); /* so that no line of a later path starts here */
}

void es_letters_line(es_pen *pen, double x, double y, const char *words, es_type type)
{
    double width_pt, height_pt;
    PangoLayout *layout = es_letters_layout(pen, words, type, -1.0);
    size_of(layout, &width_pt, &height_pt);
    if (type.align == ES_CENTRE) x -= width_pt / 2.0;
    if (type.align == ES_RIGHT) x -= width_pt;
    show(pen, x, y, layout);
    g_object_unref(layout);
}

void es_letters_turned(es_pen *pen, double x, double y, double angle_rad, const char *words, es_type type)
{
    double width_pt, height_pt;
    PangoLayout *layout = es_letters_layout(pen, words, type, -1.0);
    size_of(layout, &width_pt, &height_pt);
    cairo_save(pen->cairo);
    cairo_translate(pen->cairo, x, y);
    cairo_rotate(pen->cairo, angle_rad);
    show(pen, -width_pt / 2.0, -height_pt / 2.0, layout);
    cairo_restore(pen->cairo);
    g_object_unref(layout);
}

double es_letters_paragraph(es_pen *pen, double x, double y, double width_pt, const char *words, es_type type)
{
    double used_pt, height_pt;
    PangoLayout *layout = es_letters_layout(pen, words, type, width_pt);
    size_of(layout, &used_pt, &height_pt);
    show(pen, x, y, layout);
    g_object_unref(layout);
    return height_pt;
}

double es_letters_paragraph_height(es_pen *pen, double width_pt, const char *words, es_type type)
{
    double used_pt, height_pt;
    PangoLayout *layout = es_letters_layout(pen, words, type, width_pt);
    size_of(layout, &used_pt, &height_pt);
    g_object_unref(layout);
    return height_pt;
}
