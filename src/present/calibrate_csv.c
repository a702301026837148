/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings and what was foretold of them, as comma-separated values. */
#include <math.h>

#include "base/text.h"
#include "present/calibrate_words.h"
#include "present/csv.h"

static void add_reading(const earshot_calibration *c, size_t i, earshot_text *text)
{
    const earshot_reading *r = &c->readings->reading[i];
    const earshot_reading_fit *fit = &c->reading[i];
    const bool bound = r->unit == EARSHOT_LEVEL_NONE;
    char date[EARSHOT_DATE];
    earshot_day_text(r->day, date);
    es_text_format(text, "%u", r->line);
    es_csv_text(text, false, r->device == EARSHOT_NONE ? NULL : c->plan->device[r->device].name);
    es_csv_number(text, r->at.x_m, 3);
    es_csv_number(text, r->at.y_m, 3);
    es_csv_number(text, r->at.z_m, 3);
    es_csv_text(text, false, c->plan->receiver[r->receiver].name);
    es_csv_number(text, r->frequency_hz / 1e6, 3);
    es_csv_text(text, false, date);
    es_csv_number(text, r->level, 2);
    es_csv_text(text, false, es_level_unit_word(r->unit));
    es_csv_text(text, false, bound ? (r->heard ? "yes" : "no") : NULL);
    es_csv_number(text, r->attenuator_db, 2);
    es_csv_number(text, fit->measured_dbm, 2);
    es_csv_number(text, fit->bound_dbm, 2);
    es_csv_number(text, fit->predicted_dbm, 2);
    es_csv_number(text, fit->residual_db, 2);
    es_csv_number(text, fit->fitted_dbm, 2);
    es_csv_number(text, fit->after_db, 2);
    es_csv_number(text, fit->left_out_db, 2);
    es_csv_number(text, fit->left_out_sigma_db, 2);
    es_csv_number(text, fit->trust, 3);
    es_csv_text(text, false, es_reading_word(fit->flag));
    es_csv_text(text, false, r->note);
    es_csv_end(text);
}

void earshot_csv_calibration(const earshot_calibration *calibration, earshot_text *text)
{
    es_text_add(text, "line,device,x_m,y_m,z_m,receiver,band_mhz,date,level,unit,heard,attenuator_db,measured_dbm,"
                      "bound_dbm,foretold_dbm,residual_db,fitted_dbm,after_db,left_out_db,left_out_sigma_db,trust,flag,"
                      "note\r\n");
    for (size_t i = 0; i < calibration->readings->n; i++) add_reading(calibration, i, text);
}
