"""What a word such as `v1`, `at-control/mill`, `output` or `a.nc` names: pairs of a commit or a folder, or one program."""
