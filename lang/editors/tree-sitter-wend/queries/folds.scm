[(block) (list) (record) (choice) (arguments)] @fold
(comment)+ @fold
