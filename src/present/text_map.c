/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/text_map.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"
#include "present/palette.h"
#include "present/table.h"
#include "present/words.h"

enum { TICK_ROWS = 4, TICK_COLUMNS = 10, LABEL_SIZE = 24 };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '*';
}

/* ---- cells ---- */

/* How a cell looks: 0 plain, 1 bold, 2 + digit coloured. */
static unsigned style_of(char c)
{
    if (is_digit(c)) return 2u + (unsigned)(c - '0');
    return is_letter(c) ? 1 : 0;
}

static void add_style(unsigned style, earshot_text *text)
{
    if (style == 0)
        es_text_add(text, "\033[0m");
    else if (style == 1)
        es_text_add(text, "\033[0;1m");
    else
        es_text_format(text, "\033[0;48;5;%u;38;5;%um", es_palette_behind(style - 2), es_palette_digit(style - 2));
}

/* A sequence stands only where the look changes. */
static void add_cells(const char *cell, size_t n, bool colour, earshot_text *text)
{
    unsigned now = 0;
    for (size_t i = 0; i < n; i++) {
        const unsigned wanted = colour ? style_of(cell[i]) : 0;
        if (wanted != now) add_style(wanted, text);
        now = wanted;
        es_text_add_char(text, cell[i]);
    }
    if (now) add_style(0, text);
}

/* ---- scale ---- */

/* The smallest of 0.5, 1, 2, 5, 10 ... metres that is not below `least`. */
static double tick_step_m(double least)
{
    static const double FACTOR[] = {2.0, 2.5, 2.0}; /* 1 -> 2 -> 5 -> 10 */
    double step = 0.5;
    if (step >= least) return step;
    step = 1.0;
    for (int i = 0; step < least; i++) step *= FACTOR[i % 3];
    return step;
}

/* The tick that lies in [low, low + size), if any, as text. */
static bool tick_in(double low, double size, double step, char *label)
{
    const double tick = ceil(low / step - 1e-9) * step;
    if (tick >= low + size - 1e-9 * size) return false;
    es_format(label, LABEL_SIZE, "%.*f", step < 1.0 ? 1 : 0, fabs(tick) < step / 2 ? 0.0 : tick);
    return true;
}

static size_t widest_row_label(const earshot_grid *grid, double step)
{
    char label[LABEL_SIZE];
    size_t widest = 1;
    for (size_t row = 0; row < grid->rows; row++)
        if (tick_in(grid->y0_m + (double)row * grid->cell_y_m, grid->cell_y_m, step, label) && strlen(label) > widest)
            widest = strlen(label);
    return widest;
}

static void add_rows(const es_canvas *canvas, size_t margin, double step, bool colour, earshot_text *text)
{
    const earshot_grid *grid = canvas->grid;
    for (size_t row = 0; row < grid->rows; row++) {
        char label[LABEL_SIZE];
        const double low = grid->y0_m + (double)(grid->rows - 1 - row) * grid->cell_y_m;
        const bool marked = tick_in(low, grid->cell_y_m, step, label);
        es_text_format(text, "%*s %c", (int)margin, marked ? label : "", marked ? '+' : '|');
        add_cells(canvas->cell + row * grid->columns, grid->columns, colour, text);
        es_text_add_char(text, '\n');
    }
}

/* The bottom edge: a line with marks, and the metres below it. */
static void add_columns(const earshot_grid *grid, size_t margin, earshot_text *text)
{
    const double step = tick_step_m(TICK_COLUMNS * grid->cell_x_m);
    earshot_text below = {0};
    es_text_format(text, "%*s +", (int)margin, "m");
    es_text_format(&below, "%*s  ", (int)margin, "");
    const size_t start = below.size;
    for (size_t column = 0; column < grid->columns; column++) {
        char label[LABEL_SIZE];
        const bool marked = tick_in(grid->x0_m + (double)column * grid->cell_x_m, grid->cell_x_m, step, label);
        es_text_add_char(text, marked ? '+' : '.');
        if (!marked || below.failed) continue;
        while (below.size < start + column && !below.failed) es_text_add_char(&below, ' ');
        es_text_add(&below, label);
    }
    if (below.failed)
        text->failed = true;
    else
        es_text_format(text, "\n%s m\n", below.data);
    earshot_text_clear(&below);
}

/* ---- key ---- */

/* A device of another storey belongs on the map when it hangs between the floor and the ceiling of this one: storeys
 * of one level, such as a house and its garage, may be drawn together; a hall goes on beside its mezzanine. */
static bool belongs(const earshot_site *site, size_t device, unsigned storey)
{
    const earshot_plan *plan = earshot_site_plan(site);
    const earshot_storey *s = &plan->storey[storey];
    const double z_m = earshot_site_device_at(site, device).z_m;
    return plan->device[device].storey == storey || (z_m >= s->level_m && z_m <= s->level_m + s->height_m);
}

static void put_key(es_table *table, const earshot_plan *plan, const earshot_check *check, size_t device, char letter,
                    char taken)
{
    const earshot_device *d = &plan->device[device];
    char figure[ES_FIGURE];
    es_table_put(table, "  %c", letter);
    es_table_put(table, "%s", d->name);
    es_table_put(table, "%s", d->label ? d->label : earshot_kind_name(d->kind));
    es_table_put(table, "%s", check ? es_figure(figure, check->device[device].link.dependable_db, 1) : "");
    es_table_put(table, "%s", check ? earshot_verdict_name(check->device[device].verdict) : "");
    if (taken)
        es_table_put(table, "in the cell of %c", taken);
    else
        es_table_put(table, "%s", "");
}

/* Letters on the canvas and a line of the key for each. A cell keeps what was put there first. */
static size_t place_devices(es_canvas *canvas, const earshot_site *site, const earshot_check *check, es_table *table)
{
    const earshot_plan *plan = earshot_site_plan(site);
    size_t n = 0, index;
    for (size_t i = 0; i < plan->n_devices; i++) {
        const earshot_device *d = &plan->device[i];
        if (!belongs(site, i, canvas->grid->storey) || !es_canvas_find(canvas, d->point, &index)) continue;
        const char letter = es_map_letter(n++);
        const char taken = is_letter(canvas->cell[index]) ? canvas->cell[index] : '\0';
        if (!taken) canvas->cell[index] = letter;
        if (n <= ES_MAP_LETTERS) put_key(table, plan, check, i, letter, taken);
    }
    return n;
}

/* ---- the whole ---- */

static void add_title(const earshot_site *site, const earshot_map_view *view, unsigned width, earshot_text *text)
{
    const earshot_grid *grid = view->grid;
    const earshot_storey *storey = &earshot_site_plan(site)->storey[grid->storey];
    const char *scene = earshot_site_scene(site);
    earshot_text line = {0};
    es_text_add(&line, "Map of storey ");
    es_name_words(storey->name, storey->label, &line);
    es_text_format(&line, ": dependable margin %.2f m above its floor for radio ", grid->z_m - storey->level_m);
    es_name_words(view->radio->name, view->radio->label, &line);
    es_text_format(&line, " at %.2f MHz, %s model", view->frequency_hz / 1e6, earshot_model_name(view->model));
    if (scene) es_text_format(&line, ", scene %s", scene);
    es_text_format(&line, ". A character is %.4g m wide and %.4g m high.", grid->cell_x_m, grid->cell_y_m);
    es_wrap_made("", &line, width, text);
    es_text_add_char(text, '\n');
}

static void add_key(const es_table *table, size_t n_devices, const earshot_map_view *view, bool drawn, unsigned width,
                    earshot_text *text)
{
    earshot_text words = {0};
    es_text_add_char(text, '\n');
    es_wrap("  ", "# wall, block; - below 0 dB; 0: 0 to 5 dB; 1: 5 to 10 dB ... 9: 45 dB or more", width, text);
    es_name_words(view->from_name, view->from_label, &words);
    if (!drawn) es_text_add(&words, ", which is not on this map");
    es_wrap_made("  R ", &words, width, text);
    if (n_devices) es_table_write(table, width, text);
    if (n_devices > ES_MAP_LETTERS) es_text_format(text, "  *  %zu more devices\n", n_devices - ES_MAP_LETTERS);
}

/* The fixed end is drawn on the storey it hangs in; false when it is not on this map. */
static bool place_fixed_end(es_canvas *canvas, const earshot_storey *storey, earshot_vec3 from)
{
    size_t index;
    if (from.z_m < storey->level_m || from.z_m > storey->level_m + storey->height_m) return false;
    if (!es_canvas_find(canvas, (earshot_point){from.x_m, from.y_m}, &index)) return false;
    canvas->cell[index] = 'R';
    return true;
}

static void add_map(const earshot_site *site, const earshot_map_view *view, es_canvas *canvas, const earshot_look *look,
                    es_table *table, earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(site);
    const double step = tick_step_m(TICK_ROWS * view->grid->cell_y_m);
    const size_t margin = widest_row_label(view->grid, step);
    const bool drawn = place_fixed_end(canvas, &plan->storey[view->grid->storey], view->from);
    const size_t n_devices = place_devices(canvas, site, view->check, table);
    add_title(site, view, look->width, text);
    add_rows(canvas, margin, step, look->colour, text);
    add_columns(view->grid, margin, text);
    add_key(table, n_devices, view, drawn, look->width, text);
}

void earshot_present_map(const earshot_site *site, const earshot_map_view *view, const earshot_look *look,
                         earshot_text *text)
{
    static const es_column COLUMN[] = {{.head = "   "},
                                       {.head = "device", .flexible = true, .comfort = 16},
                                       {.head = "", .flexible = true, .comfort = 16},
                                       {.head = "dB", .right = true},
                                       {.head = ""},
                                       {.head = ""}};
    es_canvas canvas;
    es_table *table = es_table_new(COLUMN, sizeof COLUMN / sizeof COLUMN[0]);
    if (table && es_canvas_new(view->grid, &canvas)) {
        if (!es_canvas_draw_structure(&canvas, site, view->frequency_hz)) text->failed = true;
        add_map(site, view, &canvas, look, table, text);
        es_canvas_clear(&canvas);
    } else {
        text->failed = true;
    }
    es_table_free(table);
}
