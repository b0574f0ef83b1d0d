// Nothing: only how far off a surface lies is asked for.

void main() {
}
