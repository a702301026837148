/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Placements as CSV: a row for each device of each choice. */
#include <math.h>

#include "base/text.h"
#include "earshot/place.h"
#include "earshot/present.h"
#include "present/csv.h"

static void add_choice(const earshot_placement *p, size_t i, earshot_text *text)
{
    const earshot_choice *c = &p->choice[i];
    const earshot_spot *spot = &p->spot[c->spot];
    es_csv_text(text, true, p->plan->site);
    es_csv_number(text, p->frequency_hz / 1e6, 3);
    es_csv_text(text, false, earshot_model_name(p->model));
    es_csv_number(text, (double)p->n_sites, 0);
    es_csv_number(text, (double)(i + 1), 0);
    es_csv_number(text, c->cost, 2);
    es_csv_number(text, c->cost_bound, 2);
    es_csv_number(text, c->worst_db, 2);
    es_csv_text(text, false, spot->name);
    es_csv_text(text, false, p->plan->storey[spot->storey].name);
    es_csv_number(text, spot->point.x_m, 3);
    es_csv_number(text, spot->point.y_m, 3);
    es_csv_number(text, spot->at_m, 3);
}

static void add_cable(const earshot_placed *placed, earshot_text *text)
{
    const earshot_cable *c = &placed->cable;
    const bool wired = c->n_points > 0;
    es_csv_number(text, wired ? c->length_m : NAN, 1);
    es_csv_number(text, wired ? c->outdoor_m : NAN, 1);
    es_csv_number(text, wired ? (double)c->walls : NAN, 0);
    es_csv_number(text, wired ? (double)c->slabs : NAN, 0);
    es_csv_number(text, wired ? c->cost : NAN, 2);
    es_csv_number(text, wired ? c->section_mm2 : NAN, 2);
    es_csv_number(text, wired ? c->current_a : NAN, 3);
    es_csv_number(text, wired ? c->far_v : NAN, 2);
    es_csv_text(text, false, !wired ? NULL : c->serves ? "yes" : "no");
}

static void add_device(const earshot_placement *p, size_t i, size_t d, earshot_text *text)
{
    const earshot_placed *placed = &p->choice[i].device[d];
    add_choice(p, i, text);
    es_csv_text(text, false, p->plan->device[d].name);
    es_csv_text(text, false, p->plan->device[d].label);
    es_csv_text(text, false, earshot_kind_name(p->plan->device[d].kind));
    es_csv_text(text, false, placed->served ? earshot_verdict_name(placed->verdict) : "none");
    es_csv_text(text, false, placed->spot == EARSHOT_NONE ? NULL : p->spot[placed->spot].name);
    es_csv_number(text, placed->dependable_db, 2);
    add_cable(placed, text);
    es_csv_end(text);
}

void earshot_csv_placement(const earshot_placement *placement, size_t n, earshot_text *text)
{
    es_text_add(text, "site,band_mhz,model,scenes,choice,cost,cost_bound,weakest_db,receiver_at,storey,x_m,y_m,at_m,"
                      "device,label,kind,verdict,repeater_at,dependable_db,cable_m,outdoor_m,walls,slabs,cable_cost,"
                      "section_mm2,current_a,arrives_v,serves\r\n");
    for (size_t k = 0; k < n; k++)
        for (size_t i = 0; i < placement[k].n_choices; i++)
            for (size_t d = 0; d < placement[k].choice[i].n_devices; d++) add_device(&placement[k], i, d, text);
}
