/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs a fuzz target over the files of folders, in the order of their names: each input once found is a test. */
#define _POSIX_C_SOURCE 200809L
#include <dirent.h>
#include <string.h>

#include "fuzz/fuzz.h"

static uint8_t *read_file(const char *path, size_t *size)
{
    FILE *file = fopen(path, "rb");
    MUST_HOLD(file != NULL);
    MUST_HOLD(fseek(file, 0, SEEK_END) == 0);
    const long length = ftell(file);
    MUST_HOLD(length >= 0);
    rewind(file);
    /* Exactly as long as the file, so that a sanitizer sees reading past the end. */
    uint8_t *data = malloc(length > 0 ? (size_t)length : 1);
    MUST_HOLD(data != NULL);
    *size = fread(data, 1, (size_t)length, file);
    MUST_HOLD(*size == (size_t)length);
    fclose(file);
    return data;
}

static void run_file(const char *folder, const char *name)
{
    char path[1000];
    size_t size;
    snprintf(path, sizeof path, "%s/%s", folder, name);
    uint8_t *data = read_file(path, &size);
    LLVMFuzzerTestOneInput(data, size);
    free(data);
}

static int is_input(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

static int run_folder(const char *folder)
{
    struct dirent **entry;
    const int n = scandir(folder, &entry, is_input, alphasort);
    MUST_HOLD(n >= 0);
    for (int i = 0; i < n; i++) {
        run_file(folder, entry[i]->d_name);
        free(entry[i]);
    }
    free(entry);
    return n;
}

int main(int argc, char **argv)
{
    int n = 0;
    for (int i = 1; i < argc; i++) n += run_folder(argv[i]);
    printf("%d inputs\n", n);
    return n > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
