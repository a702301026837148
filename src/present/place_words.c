/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/place_words.h"

#include <math.h>

#include "base/text.h"
#include "present/obstacles.h"
#include "present/words.h"

static const char *plural(size_t n)
{
    return n == 1 ? "" : "s";
}

const char *es_worst_figure(char *buffer, double worst_db)
{
    return es_figure(buffer, worst_db, 1);
}

void es_placement_conditions(const earshot_placement *p, earshot_text *text)
{
    es_text_format(text, "%.2f MHz, %s model", p->frequency_hz / 1e6, earshot_model_name(p->model));
    if (p->n_sites == 1 && !earshot_site_scene(p->site[0])) return;
    es_text_add(text, p->n_sites == 1 ? ", scene " : ", the worst of scenes ");
    for (size_t i = 0; i < p->n_sites; i++) {
        const char *scene = earshot_site_scene(p->site[i]);
        es_text_format(text, "%s%s", i ? ", " : "", scene ? scene : "as drawn");
    }
}

/* ---- what stands in the way ---- */

static void no_way(const earshot_placement *p, const earshot_reason *r, earshot_text *text)
{
    const earshot_device *d = &p->plan->device[r->device];
    es_name_words(d->name, d->label, text);
    if (r->nearest == EARSHOT_NONE) {
        es_text_add(text, d->wiring == EARSHOT_WIRING_MUST
                              ? " must be wired, and no cable reaches it: draw its way in"
                              : " cannot be wired, and nothing hears it: add a mount near it");
        return;
    }
    es_text_format(text,
                   " cannot be wired, and its best link, to %s, lacks %.1f dB: add a mount nearer to it, move it, or "
                   "take a kind that may be wired",
                   p->spot[r->nearest].name, r->short_db);
}

void es_reason_words(const earshot_placement *p, const earshot_reason *r, earshot_text *text)
{
    switch (r->obstacle) {
    case EARSHOT_OBSTACLE_NO_WAY: no_way(p, r, text); break;
    case EARSHOT_OBSTACLE_RECEIVER_FULL:
        es_text_format(text, "the receiver holds %u device%s too few (", r->amount, plural(r->amount));
        if (r->capacity != EARSHOT_NONE) es_kinds_words(p->plan->capacity[r->capacity].kinds, text);
        es_text_add(text, "): take one that holds more, or a second one");
        break;
    case EARSHOT_OBSTACLE_REPEATERS_FULL:
        es_text_format(text, "repeaters hold %u device%s too few each: take some that hold more", r->amount,
                       plural(r->amount));
        break;
    case EARSHOT_OBSTACLE_REPEATERS:
        es_text_format(text, "%u repeater%s more than the plan allows would be needed: raise 'need repeaters='",
                       r->amount, plural(r->amount));
        break;
    case EARSHOT_OBSTACLE_INPUTS:
        es_text_format(text, "the panel lacks %u wired input%s, expanders included: raise 'inputs expanders='",
                       r->amount, plural(r->amount));
        break;
    }
}

/* ---- a cable ---- */

enum { MOST_DRILLED = 6 }; /* more than these are not named */

void es_cable_words(const earshot_site *site, const earshot_cable *c, earshot_text *text)
{
    es_text_format(text, "%.0f m of cable", c->length_m);
    if (c->outdoor_m > 0.0) es_text_format(text, ", %.0f m of it outdoors in a duct", c->outdoor_m);
    if (c->n_elements) es_text_add(text, ", drilled through ");
    for (size_t i = 0; i < c->n_elements && i < MOST_DRILLED; i++) {
        es_text_add(text, !i ? "" : i + 1 == c->n_elements ? " and " : ", ");
        es_element_words(site, c->element[i], text);
    }
    if (c->n_elements > MOST_DRILLED) es_text_format(text, " and %zu more", c->n_elements - MOST_DRILLED);
    es_text_format(text, "; of 10.5 V at the panel (assumed) %.1f V arrive over %.3g mm2 at %.0f mA", c->far_v,
                   c->section_mm2, 1000.0 * c->current_a);
    es_text_add(text, c->serves ? "." : ", which is too little: it needs a supply of its own.");
}

/* ---- why one choice is better ---- */

static void say_difference(earshot_text *text, const char *what, size_t mine, size_t theirs, bool *first)
{
    if (mine == theirs) return;
    const size_t by = mine > theirs ? mine - theirs : theirs - mine;
    es_text_format(text, "%s%zu %s%s %s", *first ? ": it takes " : ", ", by, what, plural(by),
                   mine > theirs ? "more" : "fewer");
    *first = false;
}

void es_beats_words(const earshot_choice *choice, const earshot_choice *next, earshot_text *text)
{
    bool first = true;
    if (choice->n_unserved < next->n_unserved) {
        es_text_format(text, "it leaves %zu device%s fewer without a way than the next",
                       next->n_unserved - choice->n_unserved, plural(next->n_unserved - choice->n_unserved));
    } else if (choice->cost < next->cost) {
        es_text_format(text, "it costs %.2f less than the next", next->cost - choice->cost);
        say_difference(text, "repeater", choice->n_repeaters, next->n_repeaters, &first);
        say_difference(text, "wire", choice->n_wired, next->n_wired, &first);
        if (first) es_text_add(text, ": its cables are shorter or easier");
    } else if (choice->worst_db > next->worst_db) {
        es_text_add(text, "it costs as much as the next, but ");
        if (isinf(choice->worst_db))
            es_text_add(text, "hangs on no radio link at all");
        else
            es_text_format(text, "its weakest link has %.1f dB more in hand", choice->worst_db - next->worst_db);
    } else if (choice->n_repeaters < next->n_repeaters) {
        es_text_add(text, "it is as good as the next with fewer repeaters");
    } else {
        es_text_add(text, "it is as good as the next; the order is that of the names");
    }
}

/* ---- the channel ---- */

void es_load_words(const earshot_placement *p, const earshot_load *load, earshot_text *text)
{
    if (!load->busiest) {
        es_text_add(text, "nothing sends by radio");
        return;
    }
    es_text_format(text,
                   "in a busy hour something is on air %.2f %% of the time, and a message meets another in %.2f %% of "
                   "cases; the busiest transmitter, %s, is on air %.3f %% of the time",
                   100.0 * load->offered, 100.0 * load->collision, load->busiest, 100.0 * load->busiest_duty);
    if (isnan(load->duty_limit))
        es_text_format(text, ". No rule is known here that allows its power at %.2f MHz", p->frequency_hz / 1e6);
    else if (load->duty_limit < 1.0)
        es_text_format(text, " (published sub-band limit: %g %%)", 100.0 * load->duty_limit);
    es_text_add(text, load->assumed ? "; rates and airtimes that the plan does not state are assumed." : ".");
    if (load->too_often) es_text_add(text, " TOO OFTEN ON AIR: take another channel, or send less.");
    if (load->crowded) es_text_add(text, " A CROWDED CHANNEL: messages may be lost; spread them over channels.");
}

/* ---- the proof ---- */

void es_gap_words(const earshot_placement *p, earshot_text *text)
{
    if (p->proven) return;
    if (!p->n_choices) {
        es_text_add(text, "Time ran out before any arrangement was found: allow more with --seconds.");
        return;
    }
    const earshot_choice *best = &p->choice[0];
    const double gap = best->cost > 0.0 ? 100.0 * (best->cost - p->cost_bound) / best->cost : 0.0;
    es_text_format(text,
                   "Time ran out: this is the best that was found, not proven to be the best there is. Nothing costs "
                   "less than %.2f, so at most %.2f (%.1f %%) could be saved.",
                   p->cost_bound, best->cost - p->cost_bound, gap);
}
