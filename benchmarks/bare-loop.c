/* A loop that sleeps 10 ms and does nothing else: what the machine itself keeps a program waiting.
   Prints a line for every gap above 50 ms: wall time, s since 1970, and the gap, ms; then the counts of all gaps. Ends after the seconds given. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

static const double edges[] = {15, 25, 60, 125, 250, 500, 1000};
enum { CLASSES = sizeof edges / sizeof *edges + 1 };

static double milliseconds(clockid_t clock)
{
    struct timespec t;
    clock_gettime(clock, &t);
    return t.tv_sec * 1e3 + t.tv_nsec / 1e6;
}

int main(int argc, char **argv)
{
    const double until = milliseconds(CLOCK_MONOTONIC) + 1e3 * atof(argc > 1 ? argv[1] : "1");
    const struct timespec pause = {0, 10 * 1000 * 1000};
    long counts[CLASSES] = {0};
    double longest = 0;
    double last = milliseconds(CLOCK_MONOTONIC);
    while (last < until) {
        nanosleep(&pause, NULL);
        const double now = milliseconds(CLOCK_MONOTONIC);
        const double gap = now - last;
        int k = 0;
        while (k < CLASSES - 1 && gap > edges[k])
            k++;
        counts[k]++;
        if (gap > longest)
            longest = gap;
        if (gap > 50) {
            printf("%.3f %.1f\n", milliseconds(CLOCK_REALTIME) / 1e3, gap);
            fflush(stdout);
        }
        last = now;
    }
    printf("counts");
    for (int k = 0; k < CLASSES; k++)
        printf(" %ld", counts[k]);
    printf(" longest %.1f\n", longest);
    return 0;
}
