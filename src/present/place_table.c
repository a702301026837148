/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of `place` as a person reads it. */
#include <math.h>

#include "base/number.h"
#include "base/text.h"
#include "present/place_words.h"
#include "present/table.h"
#include "present/words.h"

/* ---- what was asked ---- */

static void write_header(const earshot_placement *p, unsigned width, earshot_text *text)
{
    size_t receive = 0, repeat = 0;
    earshot_text words = {0};
    for (size_t i = 0; i < p->n_spots; i++) {
        receive += p->spot[i].receives;
        repeat += p->spot[i].repeats;
    }
    es_text_format(text, "%s\n", p->plan->site ? p->plan->site : "A site without a name");
    es_placement_conditions(p, &words);
    es_wrap_made("", &words, width, text);
    es_text_format(&words, "a dependable margin of %.1f dB, at %.4g %% confidence", p->need.margin_db,
                   p->need.confidence * 100.0);
    es_wrap_made("needed: ", &words, width, text);
    es_text_format(text, "places: %zu for the receiver, %zu for repeaters\n\n", receive, repeat);
}

/* ---- the ranking ---- */

static void put_repeaters(es_table *table, const earshot_placement *p, const earshot_choice *c)
{
    earshot_text names = {0};
    for (size_t i = 0; i < c->n_repeaters; i++)
        es_text_format(&names, "%s%s", i ? ", " : "", p->spot[c->repeater[i].spot].name);
    if (names.failed) es_table_fail(table);
    es_table_put(table, "%s", names.size ? names.data : "-");
    earshot_text_clear(&names);
}

static void put_choice(es_table *table, const earshot_placement *p, size_t i)
{
    const earshot_choice *c = &p->choice[i];
    const earshot_spot *spot = &p->spot[c->spot];
    char figure[ES_FIGURE];
    es_table_put(table, "%zu", i + 1);
    es_table_put(table, "%s", spot->name);
    es_table_put(table, "%s", p->plan->storey[spot->storey].name);
    es_table_put(table, "%.2f", c->cost);
    es_table_put(table, "%s", es_worst_figure(figure, c->worst_db));
    es_table_put(table, "%zu", c->n_direct);
    es_table_put(table, "%zu", c->n_wired);
    put_repeaters(table, p, c);
}

static void write_ranking(const earshot_placement *p, unsigned width, earshot_text *text)
{
    static const es_column COLUMN[] = {
        {.head = "", .head2 = "", .right = true},
        {.head = "receiver", .head2 = "at", .flexible = true, .comfort = 16},
        {.head = "", .head2 = "storey", .flexible = true, .comfort = 10, .optional = true},
        {.head = "", .head2 = "cost", .right = true},
        {.head = "weakest", .head2 = "dB", .right = true},
        {.head = "heard", .head2 = "direct", .right = true},
        {.head = "by", .head2 = "wire", .right = true},
        {.head = "", .head2 = "repeaters at", .flexible = true, .comfort = 20},
    };
    es_table *table = es_table_new(COLUMN, sizeof COLUMN / sizeof COLUMN[0]);
    for (size_t i = 0; i < p->n_choices; i++) put_choice(table, p, i);
    es_table_write(table, width, text);
    es_table_free(table);
}

/* ---- one choice ---- */

/* More names than this are for the CSV. */
enum { MOST_NAMES = 40 };

static void write_heard_by(const earshot_placement *p, const earshot_choice *c, const earshot_repeater *r,
                           earshot_text *words)
{
    size_t n = 0;
    for (size_t d = 0; d < c->n_devices; d++) {
        if (c->device[d].spot != (long)r->spot || n++ >= MOST_NAMES) continue;
        es_text_format(words, "%s%s", n > 1 ? ", " : "", p->plan->device[d].name);
    }
    if (n > MOST_NAMES) es_text_format(words, " and %zu more", n - MOST_NAMES);
    if (!n) es_text_add(words, "no device itself");
}

static void write_repeaters(const earshot_placement *p, const earshot_choice *c, unsigned width, earshot_text *text)
{
    for (size_t i = 0; i < c->n_repeaters; i++) {
        const earshot_repeater *r = &c->repeater[i];
        earshot_text words = {0};
        es_text_add(&words, "repeater at ");
        es_name_words(p->spot[r->spot].name, p->spot[r->spot].label, &words);
        es_text_format(&words, " (%.1f dB to %s%s): ", r->dependable_db,
                       r->reports_to == EARSHOT_NONE ? "the receiver" : p->spot[r->reports_to].name,
                       p->spot[r->spot].fitted ? ", fitted already" : "");
        write_heard_by(p, c, r, &words);
        es_wrap_made("  ", &words, width, text);
    }
}

static void put_cable(es_table *table, const earshot_device *d, const earshot_placed *placed)
{
    const earshot_cable *c = &placed->cable;
    es_table_put(table, "  %s", d->name);
    es_table_put(table, "%.1f", c->length_m);
    if (c->outdoor_m > 0.0)
        es_table_put(table, "%.1f", c->outdoor_m);
    else
        es_table_put(table, "-");
    es_table_put(table, "%u", c->walls);
    es_table_put(table, "%u", c->slabs);
    es_table_put(table, "%.2f", c->cost);
    es_table_put(table, "%.3g", c->section_mm2);
    es_table_put(table, "%.2f", c->far_v);
    es_table_put(table, "%s", !c->serves ? "needs a supply of its own" : c->outdoor_m > 0.0 ? "duct" : "");
}

static void write_cables(const earshot_placement *p, const earshot_choice *c, unsigned width, earshot_text *text)
{
    static const es_column COLUMN[] = {
        {.head = "  by", .head2 = "  wire", .flexible = true, .comfort = 18},
        {.head = "cable", .head2 = "m", .right = true},
        {.head = "outdoors", .head2 = "m", .right = true},
        {.head = "holes:", .head2 = "walls", .right = true},
        {.head = "", .head2 = "slabs", .right = true},
        {.head = "", .head2 = "cost", .right = true},
        {.head = "copper", .head2 = "mm2", .right = true},
        {.head = "arrive", .head2 = "V", .right = true},
        {.head = "", .head2 = "", .flexible = true, .comfort = 26, .optional = true},
    };
    if (!c->n_wired) return;
    es_table *table = es_table_new(COLUMN, sizeof COLUMN / sizeof COLUMN[0]);
    for (size_t d = 0; d < c->n_devices; d++)
        if (c->device[d].verdict == EARSHOT_VERDICT_WIRE && c->device[d].served)
            put_cable(table, &p->plan->device[d], &c->device[d]);
    es_table_write(table, width, text);
    es_table_free(table);
    if (c->expanders) es_text_format(text, "  input expanders: %u\n", c->expanders);
}

static void write_unserved(const earshot_placement *p, const earshot_choice *c, unsigned width, earshot_text *text)
{
    earshot_text words = {0};
    for (size_t d = 0; d < c->n_devices; d++)
        if (!c->device[d].served) es_text_format(&words, "%s%s", words.size ? ", " : "", p->plan->device[d].name);
    es_wrap_made("  WITHOUT A WAY: ", &words, width, text);
}

static void write_choice(const earshot_placement *p, size_t i, unsigned width, earshot_text *text)
{
    const earshot_choice *c = &p->choice[i];
    const earshot_spot *spot = &p->spot[c->spot];
    earshot_text words = {0};
    es_text_add(&words, "receiver at ");
    es_name_words(spot->name, spot->label, &words);
    es_text_format(&words, ", storey %s (%.2f,%.2f at %.2f m)", p->plan->storey[spot->storey].name, spot->point.x_m,
                   spot->point.y_m, spot->at_m);
    char number[24];
    es_format(number, sizeof number, "%zu ", i + 1);
    es_text_add_char(text, '\n');
    es_wrap_made(number, &words, width, text);
    if (c->n_unserved) write_unserved(p, c, width, text);
    write_repeaters(p, c, width, text);
    write_cables(p, c, width, text);
    if (i + 1 < p->n_choices) {
        es_text_add(&words, "above the next because ");
        es_beats_words(c, &p->choice[i + 1], &words);
    }
    es_wrap_made("  ", &words, width, text);
    es_text_add(&words, "channel: ");
    es_load_words(p, &c->load, &words);
    es_wrap_made("  ", &words, width, text);
}

/* ---- the rest ---- */

static void write_reasons(const earshot_placement *p, unsigned width, earshot_text *text)
{
    if (!p->n_reasons) return;
    es_text_add(text, "\nNot every device can be served. In the way:\n");
    for (size_t i = 0; i < p->n_reasons; i++) {
        earshot_text words = {0};
        es_reason_words(p, &p->reason[i], &words);
        es_wrap_made("  - ", &words, width, text);
    }
}

static void write_advice(const earshot_placement *p, unsigned width, earshot_text *text)
{
    bool wired = false, outdoors = false;
    for (size_t i = 0; i < p->n_choices; i++) {
        for (size_t d = 0; d < p->choice[i].n_devices; d++) {
            wired |= p->choice[i].device[d].cable.n_points > 0;
            outdoors |= p->choice[i].device[d].cable.outdoor_m > 0.0;
        }
    }
    if (wired)
        es_wrap("",
                "Voltages are with 10.5 V left at the panel, a battery near its end, and a warm cable; detectors are "
                "taken to need 9 V (both assumed). Look for hidden pipes, cables and asbestos before drilling.",
                width, text);
    if (outdoors)
        es_wrap("",
                "Cable outdoors wants a duct, protection against lightning and one common earth: a case for licensed "
                "practice.",
                width, text);
}

void earshot_present_placement(const earshot_placement *placement, const earshot_look *look, earshot_text *text)
{
    earshot_text words = {0};
    write_header(placement, look->width, text);
    if (placement->n_choices) write_ranking(placement, look->width, text);
    write_reasons(placement, look->width, text);
    for (size_t i = 0; i < placement->n_choices; i++) write_choice(placement, i, look->width, text);
    es_gap_words(placement, &words);
    if (words.size) es_text_add_char(text, '\n');
    es_wrap_made("", &words, look->width, text);
    es_text_add_char(text, '\n');
    write_advice(placement, look->width, text);
}

/* ---- bands side by side ---- */

static void put_band(es_table *table, const earshot_placement *p)
{
    const earshot_choice *c = p->n_choices ? &p->choice[0] : NULL;
    char figure[ES_FIGURE];
    es_table_put(table, "%.2f", p->frequency_hz / 1e6);
    es_table_put(table, "%s", c ? p->spot[c->spot].name : "-");
    es_table_put(table, "%s", es_figure(figure, c ? c->cost : NAN, 2));
    es_table_put(table, "%s", es_worst_figure(figure, c ? c->worst_db : NAN));
    es_table_put(table, "%zu", c ? c->n_direct : 0);
    es_table_put(table, "%zu", c ? c->n_repeaters : 0);
    es_table_put(table, "%zu", c ? c->n_wired : 0);
    es_table_put(table, "%zu", c ? c->n_unserved : p->plan->n_devices);
}

void earshot_present_placements(const earshot_placement *placement, size_t n, const earshot_look *look,
                                earshot_text *text)
{
    static const es_column COLUMN[] = {
        {.head = "band", .head2 = "MHz", .right = true},
        {.head = "receiver", .head2 = "at", .flexible = true, .comfort = 16},
        {.head = "", .head2 = "cost", .right = true},
        {.head = "weakest", .head2 = "dB", .right = true},
        {.head = "heard", .head2 = "direct", .right = true},
        {.head = "", .head2 = "repeaters", .right = true},
        {.head = "", .head2 = "wires", .right = true},
        {.head = "without", .head2 = "a way", .right = true},
    };
    es_table *table = es_table_new(COLUMN, sizeof COLUMN / sizeof COLUMN[0]);
    es_text_add(text, "Side by side: the best of each band\n\n");
    for (size_t i = 0; i < n; i++) put_band(table, &placement[i]);
    es_table_write(table, look->width, text);
    es_table_free(table);
}
