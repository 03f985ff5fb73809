#include "cli/cli.h"

int main(int argc, char **argv) {
    return mr_cli_main(argc, argv);
}
