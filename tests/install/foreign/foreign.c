/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A program of somebody else's: reads a plan, judges its devices, prints a line of each. */
#include <earshot/earshot.h>
#include <stdio.h>
#include <string.h>

static void print_devices(const earshot_plan *plan, const earshot_check *check)
{
    for (size_t i = 0; i < check->n_devices; i++)
        printf("%s %.2f %s\n", plan->device[i].name, check->device[i].link.dependable_db,
               earshot_verdict_name(check->device[i].verdict));
}

static int judge(const earshot_plan *plan)
{
    earshot_site *site;
    earshot_check check;
    earshot_error error = {0};
    if (earshot_site_new(plan, NULL, &site, &error) != EARSHOT_OK) return 1;
    const earshot_status status =
        earshot_check_run(site, EARSHOT_MODEL_DIRECT, plan->band_hz[0], 0, NULL, &check, &error);
    if (status == EARSHOT_OK) print_devices(plan, &check);
    earshot_check_clear(&check);
    earshot_site_free(site);
    return status == EARSHOT_OK ? 0 : 1;
}

int main(int argc, char **argv)
{
    static earshot_findings findings;
    earshot_plan *plan;
    if (argc != 2 || strcmp(earshot_version(), EARSHOT_VERSION) != 0) return 2;
    if (earshot_plan_read_file(argv[1], &plan, &findings) != EARSHOT_OK) return 3;
    const int status = judge(plan);
    earshot_plan_free(plan);
    return status;
}
