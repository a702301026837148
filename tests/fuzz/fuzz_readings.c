/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as readings of a small site: reading ends, its answer is one of those promised, and what can be read is
 * learnt from. */
#include <math.h>
#include <string.h>

#include "earshot/earshot.h"
#include "fuzz/fuzz.h"

/* More take long: the work grows with the cube of their number. */
enum { MOST_LEARNT = 40 };

static const char SITE[] = "plan 1\nband 868.30MHz 433.92MHz\n"
                           "radio hub erp=14dBm sensitivity=-107dBm twoway=yes\nradio small erp=7dBm\n"
                           "storey ground level=0m height=2.5m\n"
                           "wall brick-half 0,0 9,0 9,6 0,6 0,0\nwall stud 4,0 4,6\nwall dense-block-100 6.5,0 6.5,6\n"
                           "receiver panel 1,5 at=1.6m radio=hub\nreceiver spare 8,1 at=1.6m radio=hub\n"
                           "device pir movement 8,5 at=2.2m radio=small\n"
                           "device door contact 3.2,0.4 at=2m radio=small on=wood\n"
                           "device smoke smoke 5.2,3.1 at=2.4m radio=small\n";

static void learn(const earshot_plan *plan, const earshot_readings *readings)
{
    earshot_calibration *calibration;
    earshot_visits visits;
    earshot_error error = {0};
    earshot_text text = {0};
    const earshot_calibrate_options options = earshot_calibrate_defaults();
    const earshot_status status = earshot_calibrate(plan, NULL, readings, &options, NULL, &calibration, &error);
    MUST_HOLD((status == EARSHOT_OK) == (calibration != NULL));
    MUST_HOLD(status != EARSHOT_MEMORY && status != EARSHOT_INTERNAL);
    if (status != EARSHOT_OK) return;
    for (size_t i = 0; i < calibration->n_materials; i++)
        MUST_HOLD(isfinite(calibration->material[i].after_db) && calibration->material[i].after_sigma_db >= 0.0);
    MUST_HOLD(earshot_visits_find(calibration, &visits) == EARSHOT_OK);
    earshot_csv_calibration(calibration, &text);
    earshot_plan_text_calibrated(calibration, &text);
    MUST_HOLD(!text.failed);
    earshot_text_clear(&text);
    earshot_visits_clear(&visits);
    earshot_calibration_free(calibration);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static earshot_findings findings;
    static earshot_plan *plan;
    earshot_readings *readings;
    if (!plan) MUST_HOLD(earshot_plan_read(SITE, sizeof SITE - 1, "site.plan", &plan, &findings) == EARSHOT_OK);
    const earshot_status status =
        earshot_readings_read((const char *)data, size, "fuzz.csv", plan, &readings, &findings);
    MUST_HOLD((status == EARSHOT_OK) == (readings != NULL));
    MUST_HOLD((status == EARSHOT_OK) == (findings.n_mistakes == 0));
    if (readings && readings->n <= MOST_LEARNT) learn(plan, readings);
    earshot_readings_free(readings);
    return 0;
}
